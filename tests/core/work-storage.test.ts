import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import Dexie from 'dexie';
import { IDBKeyRange } from 'fake-indexeddb';
import { describe, expect, test, vi } from 'vitest';
import type { Analysis } from '../../src/reading/reading.ts';
import { clipHash } from '../../src/storage/clip-hash.ts';
import { WORK_DATABASE_NAME, WORK_MIGRATIONS } from '../../src/storage/work-database.ts';
import type { WaitingFacts } from '../../src/storage/work-rows.ts';
import type { LeftClip } from '../../src/storage/work-storage.ts';
import { analysisOf } from '../support/invented-records.ts';
import { openFrozen } from '../support/frozen-database.ts';
import { workDevice } from '../support/memory-work.ts';

const MIB = 1024 * 1024;
const DAY_MS = 24 * 3600 * 1000;
const FACTS: WaitingFacts = { title: 'a.mp4', request: { trim: null, athleteAt: null, model: 'full', backend: null }, stated: {}, saved: null };
const clip = (name = 'a.mp4', bytes = 1000) => new File([new Uint8Array(bytes).fill(7)], name, { type: 'video/mp4' });
const at = (hash: string, asked = 'all') => ({ clipHash: hash, asked });
/** Waits until a page has been handed so many clips. */
const handed = (left: readonly LeftClip[], count: number) => vi.waitFor(() => { expect(left).toHaveLength(count); }, { timeout: 5000, interval: 5 });
/** Some turns of the event loop: enough for what would happen at once. */
const turns = async () => { for (let i = 0; i < 20; i += 1) await new Promise((resolve) => setTimeout(resolve, 0)); };

/** An analysis whose arrays take this much room. */
function bigAnalysis(bytes: number): Analysis {
  const analysis = analysisOf();
  return { ...analysis, track: { ...analysis.track, xy: new Float32Array(bytes / 4) } };
}

/** How many rows each table of the work database holds. */
async function counts(device: ReturnType<typeof workDevice>): Promise<Record<string, number>> {
  const db = new Dexie(WORK_DATABASE_NAME, { indexedDB: device.factory, IDBKeyRange });
  await db.open();
  const found: Record<string, number> = {};
  for (const table of db.tables) found[table.name] = await table.count();
  db.close();
  return found;
}

describe('the hash of a clip', () => {
  test('of up to 8 MiB is SHA-256 of its size in digits, a line feed and all its bytes, as another implementation counts it', async () => {
    const bytes = Uint8Array.from({ length: 5000 }, (_, i) => (i * 31) % 251);
    const expected = createHash('sha256').update('5000\n').update(bytes).digest('hex');
    expect(await clipHash(new Blob([bytes]))).toBe(expected);
  });

  test('of a larger clip changes with its size, its first and its last byte, and with any stretch of a twentieth of it', async () => {
    const bytes = new Uint8Array(20 * MIB);
    const hash = await clipHash(new Blob([bytes]));
    const changed = async (from: number, length: number) => {
      const other = bytes.slice();
      other.fill(1, from, from + length);
      return clipHash(new Blob([other]));
    };
    expect(await clipHash(new Blob([bytes.slice(1)]))).not.toBe(hash);
    expect(await changed(0, 1)).not.toBe(hash);
    expect(await changed(20 * MIB - 1, 1)).not.toBe(hash);
    for (const part of [1, 7, 13, 18]) expect(await changed(part * MIB, MIB)).not.toBe(hash);
  });

  test('is null where the browser has no hashing', async () => {
    vi.stubGlobal('crypto', {});
    expect(await clipHash(clip())).toBeNull();
    vi.unstubAllGlobals();
  });
});

describe('kept results', () => {
  test('come back on another page with their arrays, for the same clip asked the same way only', async () => {
    const device = workDevice();
    const analysis = analysisOf();
    await device.page().work.keepResult(at('h1'), analysis, null);
    const later = device.page().work;
    const kept = await later.resultAt(at('h1'));
    expect(kept?.measuredAt).toBe('2026-03-02T10:00:00.000Z');
    expect(kept?.analysis.track.xy).toEqual(analysis.track.xy);
    expect(await later.resultAt(at('h1', 'another person'))).toBeNull();
    expect(await later.resultAt(at('h2'))).toBeNull();
  });

  test('of more than 48 MiB lose the one that rested longest, not the one that was asked for since', async () => {
    const device = workDevice();
    const { work } = device.page();
    for (let i = 0; i < 11; i += 1) {
      device.clock.now = new Date(device.clock.now.getTime() + 1000);
      await work.keepResult(at(`h${i}`), bigAnalysis(4 * MIB), null);
    }
    device.clock.now = new Date(device.clock.now.getTime() + 1000);
    expect(await work.resultAt(at('h0'))).not.toBeNull();
    device.clock.now = new Date(device.clock.now.getTime() + 1000);
    await work.keepResult(at('h11'), bigAnalysis(4 * MIB), null);
    // Twelve of a little over 4 MiB do not fit 48 MiB.
    expect(await work.resultAt(at('h1'))).toBeNull();
    expect(await work.resultAt(at('h0'))).not.toBeNull();
    expect(await work.resultAt(at('h11'))).not.toBeNull();
    expect((await counts(device))['results']).toBe(11);
  });

  test('that nobody asked for in 30 days are gone at the next start', async () => {
    const device = workDevice();
    const { work } = device.page();
    await work.keepResult(at('h1'), analysisOf(), null);
    device.clock.now = new Date(device.clock.now.getTime() + 29 * DAY_MS);
    await work.keepResult(at('h2'), analysisOf(), null);
    device.clock.now = new Date(device.clock.now.getTime() + 2 * DAY_MS);
    await device.page().work.takeOver(() => undefined);
    expect(await work.resultAt(at('h1'))).toBeNull();
    expect(await work.resultAt(at('h2'))).not.toBeNull();
  });

  test('of a clip go in all its variants once a rep saved from it is deleted; others stay', async () => {
    const { work } = workDevice().page();
    await work.keepResult(at('h1'), analysisOf(), null);
    await work.linkResults('h1', 'rep-1');
    // Measured after it was saved: the link is taken along.
    await work.keepResult(at('h1', 'another part'), analysisOf(), null);
    await work.keepResult(at('h2'), analysisOf(), 'rep-2');
    await work.keepResult(at('h3'), analysisOf(), null);
    await work.keepOnlyReps(new Set(['rep-1', 'rep-2']));
    expect(await work.resultAt(at('h1'))).not.toBeNull();
    await work.keepOnlyReps(new Set(['rep-2']));
    expect(await work.resultAt(at('h1'))).toBeNull();
    expect(await work.resultAt(at('h1', 'another part'))).toBeNull();
    expect(await work.resultAt(at('h2'))).not.toBeNull();
    expect(await work.resultAt(at('h3'))).not.toBeNull();
  });
});

describe('waiting clips', () => {
  test('are handed over in the order of opening once their page is gone, and not before; bytes, name and statements are the same', async () => {
    const device = workDevice();
    const first = device.page();
    const [a, b] = await Promise.all([
      first.work.hold(clip('a.mp4', 10), FACTS),
      first.work.hold(clip('b.mp4', 20), { ...FACTS, title: 'b.mp4', stated: { start: 'half-kneeling' } }),
    ]);
    const second = device.page();
    const left: LeftClip[] = [];
    await second.work.takeOver((clips) => { left.push(...clips); });
    await turns();
    expect(left).toEqual([]);
    first.end();
    await handed(left, 2);
    expect(left).toEqual([{ ...FACTS, id: a }, { ...FACTS, title: 'b.mp4', stated: { start: 'half-kneeling' }, id: b }]);
    const file = await second.work.fileOf(String(b));
    expect(file).toMatchObject({ name: 'b.mp4', type: 'video/mp4', size: 20 });
    // A third page gets none of them while the second lives.
    const third: LeftClip[] = [];
    await device.page().work.takeOver((clips) => { third.push(...clips); });
    await turns();
    expect(third).toEqual([]);
  });

  test('leave neither row nor file once let go', async () => {
    const device = workDevice();
    const { work } = device.page();
    const id = await work.hold(clip(), FACTS);
    expect(device.files.size).toBe(1);
    await work.letGo(String(id));
    expect(device.files.size).toBe(0);
    expect((await counts(device))['waiting']).toBe(0);
    expect(await work.fileOf(String(id))).toBeNull();
  });

  test('without room are not held, and leave nothing behind', async () => {
    const device = workDevice();
    const { work } = device.page({ isDiskFull: () => true });
    expect(await work.hold(clip(), FACTS)).toBeNull();
    expect(device.files.size).toBe(0);
    expect((await counts(device))['waiting']).toBe(0);
  });

  test('a copy that its page did not finish is not handed over but cleared away, as is a file without a row', async () => {
    const device = workDevice();
    const first = device.page();
    await first.work.hold(clip(), FACTS);
    const db = new Dexie(WORK_DATABASE_NAME, { indexedDB: device.factory, IDBKeyRange });
    await db.open();
    await db.table('waiting').toCollection().modify({ isWhole: false });
    db.close();
    device.files.set('nobody', clip());
    first.end();
    const left: LeftClip[] = [];
    await device.page().work.takeOver((clips) => { left.push(...clips); });
    await vi.waitFor(() => { expect(device.files.size).toBe(0); }, { timeout: 5000, interval: 5 });
    expect(left).toEqual([]);
  });

  test('of a rep that was deleted are let go', async () => {
    const device = workDevice();
    const { work } = device.page();
    await work.hold(clip(), { ...FACTS, saved: { repId: 'rep-1', athleteId: 'a' } });
    await work.hold(clip(), FACTS);
    await work.keepOnlyReps(new Set());
    expect(device.files.size).toBe(1);
  });
});

test('erasing leaves no row and no file, and the storage works on', async () => {
  const device = workDevice();
  const { work } = device.page();
  await work.hold(clip(), FACTS);
  await work.keepResult(at('h1'), analysisOf(), null);
  await work.eraseAll();
  expect(device.files.size).toBe(0);
  expect(await counts(device)).toEqual({ results: 0, waiting: 0 });
  await work.keepResult(at('h1'), analysisOf(), null);
  expect(await work.resultAt(at('h1'))).not.toBeNull();
});

test.each(WORK_MIGRATIONS.map((each) => each.version))('the frozen work database of version %i opens with its result and its waiting clip', async (version) => {
  const device = workDevice();
  const frozen = JSON.parse(readFileSync(new URL(`../../fixtures/databases/work-v${version}.json`, import.meta.url), 'utf8')) as Parameters<typeof openFrozen>[1];
  await openFrozen(device.factory, frozen, WORK_DATABASE_NAME);
  device.files.set('waiting-1', clip());
  device.clock.now = new Date('2026-11-25T12:00:00Z');
  const { work } = device.page();
  const left: LeftClip[] = [];
  await work.takeOver((clips) => { left.push(...clips); });
  await handed(left, 1);
  expect(left.map((each) => [each.id, each.title, each.request.model])).toEqual([['waiting-1', 'b.mp4', 'full']]);
  const kept = await work.resultAt(at('frozen-hash', 'frozen-asked'));
  expect(kept?.analysis.track.xy).toBeInstanceOf(Float32Array);
});
