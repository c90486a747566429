import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { buildIfStale } from '../../tools/build/build-if-stale.mjs';
import { findBrowser } from '../../tools/browser/find-browser.mjs';
import { BROWSER_ARGUMENTS, builtFolder } from '../../tools/browser/open-page.ts';
import { removeProfile } from '../../tools/browser/remove-profile.ts';
import { serveFolder } from '../../tools/serve/static-server.mjs';

/** Times the browser is killed; LUNGELINE_KILLS=50 is the long run. */
const KILLS = Number(process.env['LUNGELINE_KILLS'] ?? 5);
const CLIP = fileURLToPath(new URL('../../fixtures/clips/tip-from-passe-upright-short.mp4', import.meta.url));

/** What the disk holds: the log's rows by table, and the bytes of each kept clip. */
interface OnDisk {
  readonly athletes: readonly { readonly id: string }[];
  readonly sessions: readonly { readonly id: string; readonly present: readonly { readonly athleteId: string }[] }[];
  readonly reps: readonly { readonly id: string; readonly number: number; readonly athleteId: string; readonly sessionId: string; readonly measures: object; readonly note: string }[];
  readonly tracks: readonly { readonly repId: string; readonly frames: number }[];
  readonly thumbnails: readonly { readonly repId: string; readonly bytes: number }[];
  readonly clips: readonly { readonly repId: string; readonly sizeBytes: number }[];
  readonly files: Readonly<Record<string, string>>;
}

function readDisk(page: Page): Promise<OnDisk> {
  return page.evaluate(async () => {
    const db = await new Promise<IDBDatabase>((resolve, reject) => {
      const opening = indexedDB.open('lungeline');
      opening.onsuccess = () => { resolve(opening.result); };
      opening.onerror = () => { reject(new Error('no database')); };
    });
    const all = (table: string): Promise<never[]> => new Promise((resolve) => {
      const reading = db.transaction(table).objectStore(table).getAll();
      reading.onsuccess = () => { resolve(reading.result as never[]); };
    });
    const files: Record<string, string> = {};
    const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle('clips', { create: true });
    for await (const [name, handle] of folder.entries()) {
      const bytes = await crypto.subtle.digest('SHA-256', await (await (handle as FileSystemFileHandle).getFile()).arrayBuffer());
      files[name] = [...new Uint8Array(bytes)].map((byte) => byte.toString(16).padStart(2, '0')).join('');
    }
    const tracks: readonly { readonly repId: string; readonly analysis: { readonly track: { readonly times: Float64Array } } }[] = await all('tracks');
    const thumbnails: readonly { readonly repId: string; readonly bytes: ArrayBuffer }[] = await all('thumbnails');
    const found = {
      athletes: await all('athletes'), sessions: await all('sessions'), reps: await all('reps'), clips: await all('clips'),
      tracks: tracks.map(({ repId, analysis }) => ({ repId, frames: analysis.track.times.length })),
      thumbnails: thumbnails.map(({ repId, bytes }) => ({ repId, bytes: bytes.byteLength })),
      files,
    };
    db.close();
    return found;
  });
}

let server: Awaited<ReturnType<typeof serveFolder>>;
let profile: string;
let clipHash: string;
let running: ChildProcess | null = null;

beforeAll(async () => {
  buildIfStale();
  server = await serveFolder(builtFolder());
  profile = mkdtempSync(join(tmpdir(), 'lungeline-kill-'));
  clipHash = Buffer.from(await crypto.subtle.digest('SHA-256', readFileSync(CLIP))).toString('hex');
});
afterAll(async () => {
  running?.kill('SIGKILL');
  await server.close();
  await removeProfile(profile);
});

/** Starts a browser of its own on the profile: playwright's would be closed in good order, and nothing would be cut off. */
async function start(): Promise<{ readonly page: Page; readonly kill: () => Promise<void> }> {
  const child = spawn(findBrowser() ?? '', [...BROWSER_ARGUMENTS, '--headless', '--remote-debugging-port=0', `--user-data-dir=${profile}`, 'about:blank'], { stdio: ['ignore', 'ignore', 'pipe'] });
  running = child;
  const address = await new Promise<string>((resolve, reject) => {
    let said = '';
    child.stderr.on('data', (bytes: Buffer) => {
      said += bytes.toString();
      const found = /DevTools listening on (ws:\S+)/.exec(said)?.[1];
      if (found !== undefined) resolve(found);
    });
    child.once('exit', () => { reject(new Error(`the browser ended: ${said}`)); });
  });
  const browser = await chromium.connectOverCDP(address);
  const context = browser.contexts()[0];
  if (context === undefined) throw new Error('the browser has no window');
  const page = context.pages()[0] ?? (await context.newPage());
  await page.goto(server.address);
  return {
    page,
    kill: async () => {
      const gone = new Promise<void>((resolve) => child.once('exit', () => { resolve(); }));
      child.kill('SIGKILL');
      await gone;
    },
  };
}

/** Opens the clip, whose result is kept since it was first measured, up to the names. */
async function upToTheName(page: Page): Promise<void> {
  await page.goto(`${server.address}#/`);
  await page.locator('input[type=file]').first().setInputFiles(CLIP);
  await page.getByRole('button', { name: 'Save this rep' }).click({ timeout: 120_000 });
}

it(`a browser killed ${KILLS} times while it saves a rep and keeps its clip: every rep is whole or not there, none that was there is lost, and no clip stays without its rep`, { timeout: 60_000 + KILLS * 30_000 }, async () => {
  let { page, kill } = await start();
  await upToTheName(page);
  await page.getByLabel('Nickname of the athlete').fill('Mira');
  await page.getByRole('button', { name: 'Add and choose' }).click();
  await page.getByRole('button', { name: /^Saved: Mira, rep 1/ }).waitFor();
  await page.getByRole('button', { name: /^Keep the clip on this device/ }).click();
  await page.getByText('The clip is kept, and only here.').waitFor();
  await page.getByLabel('Note').fill('the first one');
  await page.getByRole('button', { name: 'Done' }).click();
  await expect.poll(async () => (await readDisk(page)).reps[0]?.note).toBe('the first one');
  await kill();

  // One save that nobody disturbs tells how long a save takes on this machine: the kills are spread over it, one in each part.
  ({ page, kill } = await start());
  await upToTheName(page);
  const mira = () => page.getByRole('group', { name: 'Whose rep is it?' }).getByRole('button', { name: 'Mira' });
  await mira().click();
  const tappedAt = performance.now();
  await expect.poll(async () => (await readDisk(page)).clips.length, { interval: 20, timeout: 60_000 }).toBe(2);
  const spanMs = 1.2 * (performance.now() - tappedAt);
  await page.getByRole('button', { name: 'Done' }).waitFor();
  let before = await readDisk(page);
  await kill();

  const ends = { nothing: 0, 'rep without its clip': 0, 'rep and clip': 0 };
  ({ page, kill } = await start());
  for (let i = 0; i < KILLS; i += 1) {
    await upToTheName(page);
    await mira().click();
    await new Promise((resolve) => setTimeout(resolve, ((i + Math.random()) / KILLS) * spanMs));
    await kill();

    ({ page, kill } = await start());
    await page.goto(`${server.address}#/sessions`);
    await page.locator('ol[aria-label="Sessions, newest first"] a').first().waitFor();
    // What was there is there as it was; of the new rep there is all or nothing.
    await expect.poll(async () => {
      const { files, clips } = await readDisk(page);
      return Object.keys(files).toSorted().join() === clips.map((row) => row.repId).toSorted().join();
    }).toBe(true);
    const now = await readDisk(page);
    for (const kind of ['reps', 'tracks', 'thumbnails', 'clips', 'athletes'] as const) {
      expect(now[kind].length).toBeLessThanOrEqual(before[kind].length + 1);
      expect(now[kind]).toEqual(expect.arrayContaining([...before[kind]]));
    }
    const ids = now.reps.map((rep) => rep.id).toSorted();
    expect(now.tracks.map((row) => row.repId).toSorted()).toEqual(ids);
    expect(now.thumbnails.map((row) => row.repId).toSorted()).toEqual(ids);
    expect(now.tracks.every((row) => row.frames === before.tracks[0]?.frames)).toBe(true);
    expect(now.thumbnails.every((row) => row.bytes > 1000)).toBe(true);
    expect(now.reps.map((rep) => rep.number).toSorted((a, b) => a - b)).toEqual(ids.map((_id, at) => at + 1));
    expect(now.sessions).toHaveLength(1);
    expect(now.reps.every((rep) => rep.sessionId === now.sessions[0]?.id && rep.athleteId === now.athletes[0]?.id && Object.keys(rep.measures).length > 10)).toBe(true);
    expect(Object.values(now.files)).toEqual(Object.values(now.files).map(() => clipHash));
    ends[now.reps.length === before.reps.length ? 'nothing' : now.clips.length === before.clips.length ? 'rep without its clip' : 'rep and clip'] += 1;
    before = now;
  }
  await kill();
  process.stdout.write(`${KILLS} kills over ${Math.round(spanMs)} ms left ${Object.entries(ends).map(([what, times]) => `${what} ${times} times`).join(', ')}\n`);
});
