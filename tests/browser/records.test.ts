import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openPage, type OpenPage } from '../../tools/browser/open-page.ts';

const CLIP = fileURLToPath(new URL('../../fixtures/clips/sprint-lunge-good.mp4', import.meta.url));

let open: OpenPage;
beforeAll(async () => {
  open = await openPage('');
});
afterAll(() => open.close());

/** Files in the private file system and rows in each table, as the browser holds them. */
function held(): Promise<{ readonly files: number; readonly rows: Readonly<Record<string, number>> }> {
  return open.page.evaluate(async () => {
    let files = 0;
    const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle('clips', { create: true });
    for await (const _name of folder.keys()) files += 1;
    const db = await new Promise<IDBDatabase>((resolve, reject) => {
      const opening = indexedDB.open('lungeline');
      opening.onsuccess = () => { resolve(opening.result); };
      opening.onerror = () => { reject(new Error('no database')); };
    });
    const rows: Record<string, number> = {};
    for (const name of db.objectStoreNames) {
      rows[name] = await new Promise<number>((resolve) => {
        const counting = db.transaction(name).objectStore(name).count();
        counting.onsuccess = () => { resolve(counting.result); };
      });
    }
    db.close();
    return { files, rows };
  });
}

describe('a rep from its clip to its end', () => {
  it('two taps save it; it is there after a reload; it opens from its track with its clip; deleting takes all of it and undo brings all of it back', async () => {
    const { page } = open;
    await page.setInputFiles('input[type=file]', CLIP);
    const save = page.getByRole('button', { name: 'Save this rep' });
    await save.waitFor({ timeout: 180_000 });
    await save.click();
    // Nobody is known yet: the first athlete is named here.
    await page.getByLabel('Nickname of the athlete').fill('Mira');
    await page.getByRole('button', { name: 'Add and choose' }).click();
    await page.getByRole('button', { name: /^Saved: Mira, rep 1/ }).waitFor();
    await page.getByRole('button', { name: /^Keep the clip on this device/ }).click();
    await page.getByText('The clip is kept, and only here.').waitFor();
    await page.getByLabel('Note').fill('long hurdle');
    await page.getByRole('button', { name: 'Done' }).click();
    const cue = await page.locator('section[aria-label="What to change"]').textContent();
    await expect.poll(async () => (await held()).files).toBe(1);

    // Only the first screen lets models load ahead.
    await page.goto(`${open.address}#/sessions`);
    await page.reload();
    await page.locator('ol[aria-label="Sessions, newest first"] a').first().click();
    const row = page.getByRole('list', { name: 'Reps of Mira' }).getByRole('button').first();
    await row.click();
    expect(await page.getByLabel('Note').first().inputValue()).toBe('long hurdle');
    const before = await held();
    expect(before).toEqual({ files: 1, rows: { athletes: 1, sessions: 1, reps: 1, tracks: 1, thumbnails: 1, clips: 1, profiles: 0, settings: 2 } });

    const requests: string[] = [];
    page.on('request', (request) => requests.push(request.url()));
    await page.getByRole('button', { name: 'Show it with its clip' }).click();
    await page.locator('video').waitFor();
    expect(await page.locator('section[aria-label="What to change"]').textContent()).toBe(cue);
    // Shown from its track: no model was loaded.
    expect(requests.filter((url) => /blazepose|movenet/.test(url))).toEqual([]);
    await page.getByRole('button', { name: /^Saved: Mira, rep 1/ }).waitFor();

    await page.getByRole('link', { name: 'Athletes' }).click();
    await page.getByRole('link', { name: /^Mira/ }).click();
    await page.getByRole('button', { name: /^Delete Mira/ }).click();
    await page.getByText('Mira deleted, with 1 rep.').waitFor();
    expect((await held()).rows).toMatchObject({ athletes: 0, sessions: 0, reps: 0, tracks: 0, thumbnails: 0, clips: 0 });
    await page.getByRole('button', { name: 'Undo' }).last().click();
    await page.getByRole('link', { name: /^Mira/ }).waitFor();
    expect(await held()).toEqual(before);

    await page.getByRole('link', { name: /^Mira/ }).click();
    await page.getByRole('button', { name: /^Delete Mira/ }).click();
    await page.getByRole('button', { name: 'Erase for good' }).click();
    await expect.poll(async () => (await held()).files).toBe(0);
    expect((await held()).rows).toMatchObject({ athletes: 0, sessions: 0, reps: 0, tracks: 0, thumbnails: 0, clips: 0 });
  });

  it('what was deleted is erased for good by a reload, files too', async () => {
    const { page } = open;
    await page.goto(`${open.address}#/athletes`);
    await page.getByLabel('Nickname of a new athlete').fill('Nils');
    await page.getByRole('button', { name: 'Add', exact: true }).click();
    await page.getByRole('heading', { name: 'Nils', exact: true }).waitFor();
    await page.evaluate(async () => {
      const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle('clips', { create: true });
      await folder.getFileHandle('left-over', { create: true });
    });
    await page.getByRole('button', { name: /^Delete Nils/ }).click();
    await page.getByText('Nils deleted').waitFor();
    await page.reload();
    await page.getByText('No athlete yet.').waitFor();
    await expect.poll(async () => (await held()).files).toBe(0);
  });
});

describe('two tabs', () => {
  it('30 reps entered by hand from two pages at once: none is lost, each has its own number, and both pages show them all', async () => {
    const { page } = open;
    await page.goto(`${open.address}#/athletes`);
    await page.getByLabel('Nickname of a new athlete').fill('Tove');
    await page.getByRole('button', { name: 'Add', exact: true }).click();
    await page.getByRole('heading', { name: 'Tove', exact: true }).waitFor();
    await page.getByRole('button', { name: 'Left', exact: true }).click();
    await page.getByRole('link', { name: 'Sessions' }).click();
    await page.getByRole('button', { name: /session/ }).first().click();
    await page.getByRole('link', { name: 'Enter a rep by hand' }).click();
    const byHand = page.url();
    const [other] = await Promise.all([page.waitForEvent('popup'), page.evaluate((url) => { window.open(url); }, byHand)]);
    const enter = async (tab: typeof page, times: number) => {
      for (let i = 0; i < times; i += 1) {
        await tab.goto(byHand);
        await tab.getByRole('button', { name: /^Tove/ }).click();
        await tab.getByRole('list', { name: 'Reps of Tove' }).waitFor();
      }
    };
    await Promise.all([enter(page, 15), enter(other, 15)]);
    for (const tab of [page, other]) await expect.poll(() => tab.getByRole('list', { name: 'Reps of Tove' }).getByRole('listitem').count()).toBe(30);
    const numbers = await page.evaluate(async () => {
      const db = await new Promise<IDBDatabase>((resolve) => {
        const opening = indexedDB.open('lungeline');
        opening.onsuccess = () => { resolve(opening.result); };
      });
      const reps = await new Promise<{ number: number }[]>((resolve) => {
        const reading = db.transaction('reps').objectStore('reps').getAll();
        reading.onsuccess = () => { resolve(reading.result as { number: number }[]); };
      });
      db.close();
      return reps.map((rep) => rep.number);
    });
    expect(numbers.toSorted((a, b) => a - b)).toEqual(Array.from({ length: 30 }, (_, i) => i + 1));
    await other.close();
  });

  it('a database of a newer version is left alone: the page says so and nothing can be saved', async () => {
    const { page } = open;
    // Another tab with a newer app takes the database over: this page lets it, and says that it only shows what it knew.
    await page.evaluate(() => new Promise<void>((resolve, reject) => {
      const opening = indexedDB.open('lungeline', 20);
      opening.onsuccess = () => {
        opening.result.close();
        resolve();
      };
      opening.onerror = () => { reject(new Error('not upgraded')); };
    }));
    await page.getByText('A newer Lungeline is open on this device.').waitFor();
    await page.goto(`${open.address}#/athletes`);
    await page.reload();
    await page.getByRole('alert').waitFor();
    expect(await page.getByRole('alert').textContent()).toContain('newer Lungeline');
    expect(await page.getByLabel('Nickname of a new athlete').count()).toBe(0);
    expect((await held()).rows['reps']).toBe(30);
  });
});

it('the page broke no rule of its own and threw nothing', () => {
  expect(open.errors).toEqual([]);
  expect(open.foreignRequests).toEqual([]);
});
