import { readFileSync } from 'node:fs';
import Dexie from 'dexie';
import { IDBKeyRange } from 'fake-indexeddb';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { logSchema } from '../../src/athletelog/index.ts';
import { BACKUP_FORMAT, BACKUP_VERSION, readBackup, writeBackup, type Backup } from '../../src/export/index.ts';
import { createDatabase, DATABASE_NAME } from '../../src/storage/database.ts';
import { DATABASE_VERSION, declareVersions, MIGRATIONS } from '../../src/storage/migrations.ts';
import type { Stored } from '../../src/storage/rows.ts';
import type { Storage } from '../../src/storage/storage.ts';
import { DEFAULT_PROFILE } from '../../src/tolerances/index.ts';
import type { Outcome } from '../../src/units/outcome.ts';
import { analysisOf, athleteOf, newRepOf, sessionOf, THUMBNAIL } from '../support/invented-records.ts';
import { fullAtWrite, memoryDevice } from '../support/memory-storage.ts';
import { openFrozen } from '../support/frozen-database.ts';
import { randomBackup } from '../support/random-log.ts';

const MON = sessionOf('mon', '2026-03-02');
const WED = sessionOf('wed', '2026-03-04');
const clip = () => new File([new Uint8Array(1000)], 'a.mp4', { type: 'video/mp4' });

function valueOf<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new Error(outcome.problem.kind);
  return outcome.value;
}

/** Two athletes, two sessions, three reps, two tracks, two stills, two kept clips, and tolerances for athlete a. */
async function filled(storage: Storage): Promise<void> {
  valueOf(await storage.open());
  valueOf(await storage.add({ athletes: [athleteOf('a'), athleteOf('b')] }));
  valueOf(await storage.saveRep(newRepOf('a-mon', 'a', MON, { analysis: analysisOf(), thumbnail: THUMBNAIL })));
  valueOf(await storage.saveRep(newRepOf('a-wed', 'a', WED, { analysis: analysisOf(), thumbnail: THUMBNAIL })));
  valueOf(await storage.saveRep(newRepOf('b-wed', 'b', WED)));
  valueOf(await storage.keepClip('a-mon', clip()));
  valueOf(await storage.keepClip('b-wed', clip()));
  valueOf(await storage.set('assignments', [{ profileId: 'p', athleteIds: ['a', 'b'], groups: [] }]));
}

/** Every row of every table, to be compared; byte arrays as plain numbers. */
async function allRows(device: ReturnType<typeof memoryDevice>): Promise<Record<string, unknown[]>> {
  const db = new Dexie(DATABASE_NAME, { indexedDB: device.factory, IDBKeyRange });
  await db.open();
  const rows: Record<string, unknown[]> = {};
  for (const table of db.tables) rows[table.name] = await table.toArray();
  db.close();
  return rows;
}

const idsOf = (stored: Stored) => ({
  athletes: stored.log.athletes.map((each) => each.id), sessions: stored.log.sessions.map((each) => each.id), reps: stored.log.reps.map((each) => each.id),
});

describe('migrations (F12)', () => {
  test('count up from 1 one by one; a gap is refused', () => {
    expect(MIGRATIONS.map((each) => each.version)).toEqual(Array.from({ length: DATABASE_VERSION }, (_, i) => i + 1));
    expect(() => { declareVersions(new Dexie('x', { indexedDB: memoryDevice().factory, IDBKeyRange }), [{ version: 2, stores: { athletes: 'id' } }]); }).toThrow(RangeError);
  });

  test.each(MIGRATIONS.map((each) => each.version))('the frozen database of version %i opens with every record, and its log passes the gate', async (version) => {
    const frozen = JSON.parse(readFileSync(new URL(`../../fixtures/databases/v${version}.json`, import.meta.url), 'utf8')) as Parameters<typeof openFrozen>[1];
    const device = memoryDevice();
    await openFrozen(device.factory, frozen);
    const storage = device.tab();
    const stored = valueOf(await storage.open());
    const count = (table: string) => frozen.tables[table]?.rows.length;
    expect(stored.log.athletes).toHaveLength(count('athletes') ?? -1);
    expect(stored.log.sessions).toHaveLength(count('sessions') ?? -1);
    expect(stored.log.reps).toHaveLength(count('reps') ?? -1);
    expect(stored.profiles).toHaveLength(count('profiles') ?? -1);
    expect(stored.keptTracks.size).toBe(count('tracks'));
    expect(logSchema.parse(stored.log)).toEqual(stored.log);
    const analysis = await storage.analysisOf([...stored.keptTracks][0] ?? '');
    expect(analysis?.track.xy).toBeInstanceOf(Float32Array);
    expect(analysis?.track.xy[0]).toBeNaN();
    storage.close();
  });

  test('a database of a newer version is refused, and its rows are untouched', async () => {
    const device = memoryDevice();
    await filled(device.tab());
    const before = await allRows(device);
    const newer = createDatabase({ indexedDB: device.factory, IDBKeyRange });
    newer.version(DATABASE_VERSION + 1).stores({ medals: 'id' });
    await newer.open();
    newer.close();
    const storage = device.tab();
    expect(await storage.open()).toEqual({ ok: false, problem: { kind: 'file-too-new', version: DATABASE_VERSION + 1 } });
    expect(await allRows(device)).toEqual({ ...before, medals: [] });
  });

  test('an open tab is told when a newer one takes the database over, and lets it', async () => {
    const device = memoryDevice();
    const storage = device.tab();
    await filled(storage);
    const heard: string[] = [];
    storage.listen((word) => heard.push(word));
    const newer = createDatabase({ indexedDB: device.factory, IDBKeyRange });
    newer.version(DATABASE_VERSION + 1).stores({ medals: 'id' });
    await newer.open();
    expect(heard).toContain('outdated');
    newer.close();
  });
});

describe('saving', () => {
  test('numbers count up within athlete and session; the athlete is listed as present once', async () => {
    const storage = memoryDevice().tab();
    await filled(storage);
    expect(valueOf(await storage.saveRep(newRepOf('a-wed-2', 'a', WED))).number).toBe(2);
    const stored = await storage.load();
    expect(stored.log.reps.map((rep) => [rep.id, rep.number])).toEqual([['a-mon', 1], ['a-wed', 1], ['a-wed-2', 2], ['b-wed', 1]]);
    expect(stored.log.sessions.find((each) => each.id === 'wed')?.present.map((each) => each.athleteId)).toEqual(['a', 'b']);
    expect(stored.keptTracks).toEqual(new Set(['a-mon', 'a-wed']));
    expect(stored.keptClips).toEqual(new Set(['a-mon', 'b-wed']));
  });

  test('a session of the same day and place that another tab made meanwhile is used', async () => {
    const device = memoryDevice();
    const [one, two] = [device.tab(), device.tab()];
    await filled(one);
    valueOf(await two.open());
    const saved = valueOf(await two.saveRep(newRepOf('x', 'a', sessionOf('another', '2026-03-02'))));
    expect(saved).toMatchObject({ sessionId: 'mon', number: 2 });
  });

  test('a rep of nobody is a broken call and leaves nothing behind', async () => {
    const device = memoryDevice();
    const storage = device.tab();
    await filled(storage);
    const before = await allRows(device);
    await expect(storage.saveRep(newRepOf('x', 'nobody', MON))).rejects.toThrow(RangeError);
    expect(await allRows(device)).toEqual(before);
  });

  test('the stored track comes back with its numbers and its gaps; the still with its type; the clip under its name', async () => {
    const storage = memoryDevice().tab();
    await filled(storage);
    expect(await storage.analysisOf('a-mon')).toEqual(analysisOf());
    expect(await storage.analysisOf('b-wed')).toBeNull();
    const still = await storage.thumbnailOf('a-mon');
    expect([still?.type, still?.size]).toEqual(['image/jpeg', 4]);
    expect((await storage.clipOf('a-mon'))?.name).toBe('a.mp4');
    expect(await storage.clipOf('a-wed')).toBeNull();
  });

  test('a change works on the row as it is now; a row that is gone stays gone', async () => {
    const storage = memoryDevice().tab();
    await filled(storage);
    valueOf(await storage.changeRep('a-mon', (rep) => ({ ...rep, note: `${rep.note}one ` })));
    valueOf(await storage.changeRep('a-mon', (rep) => ({ ...rep, note: `${rep.note}two` })));
    expect((await storage.load()).log.reps[0]?.note).toBe('one two');
    expect(valueOf(await storage.changeRep('gone', (rep) => rep))).toBeNull();
    expect((await storage.load()).log.reps).toHaveLength(3);
  });
});

describe('deletion is real (F16)', () => {
  test('an athlete takes every row, track, still, clip, list entry and assignment along; the others keep theirs', async () => {
    const device = memoryDevice();
    const storage = device.tab();
    await filled(storage);
    const removed = valueOf(await storage.remove({ what: 'athlete', id: 'a' }));
    expect(idsOf(await storage.load())).toEqual({ athletes: ['b'], sessions: ['wed'], reps: ['b-wed'] });
    await storage.eraseFiles(removed.clips.map((row) => row.repId));
    expect([...device.files.keys()]).toEqual(['b-wed']);
    const rows = await allRows(device);
    expect(rows['tracks']).toEqual([]);
    expect(rows['thumbnails']).toEqual([]);
    expect(JSON.stringify(rows)).not.toMatch(/"a"|a-mon|a-wed|Invented a/);
  });

  test('the last athlete is forgotten with the athlete: no row of the device names the id any more', async () => {
    const storage = memoryDevice().tab();
    await filled(storage);
    valueOf(await storage.set('remembered', { athleteId: 'a', place: 'Hall', surfaces: [], keepsClips: true }));
    valueOf(await storage.remove({ what: 'athlete', id: 'b' }));
    expect((await storage.load()).settings.remembered.athleteId).toBe('a');
    valueOf(await storage.remove({ what: 'athlete', id: 'a' }));
    expect((await storage.load()).settings.remembered).toEqual({ athleteId: null, place: 'Hall', surfaces: [], keepsClips: true });
  });

  test.each([
    [{ what: 'session', id: 'wed' } as const, { athletes: ['a', 'b'], sessions: ['mon'], reps: ['a-mon'] }],
    [{ what: 'rep', id: 'a-mon' } as const, { athletes: ['a', 'b'], sessions: ['mon', 'wed'], reps: ['a-wed', 'b-wed'] }],
    [{ what: 'athlete', id: 'a' } as const, { athletes: ['b'], sessions: ['wed'], reps: ['b-wed'] }],
  ])('%o can be put back whole: every row is as it was', async (removal, left) => {
    const device = memoryDevice();
    const storage = device.tab();
    await filled(storage);
    const before = await allRows(device);
    const removed = valueOf(await storage.remove(removal));
    expect(idsOf(await storage.load())).toEqual(left);
    valueOf(await storage.putBack(removed));
    const sorted = (rows: Record<string, unknown[]>) => Object.fromEntries(Object.entries(rows).map(([name, all]) => [name, all.map((row) => JSON.stringify(row)).toSorted()]));
    const present = (rows: Record<string, unknown[]>) => JSON.parse(JSON.stringify(rows)) as Record<string, { present?: { athleteId: string }[] }[]>;
    const ordered = (rows: Record<string, unknown[]>) => {
      const plain = present(rows);
      for (const session of plain['sessions'] ?? []) session.present?.sort((a, b) => (a.athleteId < b.athleteId ? -1 : 1));
      return sorted(plain);
    };
    expect(ordered(await allRows(device))).toEqual(ordered(before));
    expect((await storage.clipOf('a-mon'))?.size).toBe(1000);
  });

  test('a number that was given away meanwhile is not given twice when the rep comes back', async () => {
    const storage = memoryDevice().tab();
    await filled(storage);
    const removed = valueOf(await storage.remove({ what: 'rep', id: 'a-wed' }));
    expect(valueOf(await storage.saveRep(newRepOf('new', 'a', WED))).number).toBe(1);
    valueOf(await storage.putBack(removed));
    const reps = (await storage.load()).log.reps.filter((rep) => rep.athleteId === 'a' && rep.sessionId === 'wed');
    expect(reps.map((rep) => [rep.id, rep.number])).toEqual([['a-wed', 2], ['new', 1]]);
  });

  test('files without a row are erased at the next start', async () => {
    const device = memoryDevice();
    const storage = device.tab();
    await filled(storage);
    valueOf(await storage.remove({ what: 'rep', id: 'a-mon' }));
    device.files.set('cut-off-write', new Blob(['half']));
    expect(device.files.size).toBe(3);
    storage.close();
    valueOf(await device.tab().open());
    expect([...device.files.keys()]).toEqual(['b-wed']);
  });

  test('the invented club goes in one step; a real rep in an invented session keeps that session, as a real one', async () => {
    const storage = memoryDevice().tab();
    await filled(storage);
    const invented = sessionOf('inv', '2026-03-03', { isInvented: true });
    valueOf(await storage.add({ athletes: [athleteOf('i', { isInvented: true })], sessions: [invented, sessionOf('inv2', '2026-03-10', { isInvented: true })] }));
    valueOf(await storage.saveRep(newRepOf('i-1', 'i', invented)));
    valueOf(await storage.saveRep(newRepOf('a-1', 'a', invented)));
    valueOf(await storage.remove({ what: 'invented' }));
    const stored = await storage.load();
    expect(idsOf(stored)).toEqual({ athletes: ['a', 'b'], sessions: ['inv', 'mon', 'wed'], reps: ['a-1', 'a-mon', 'a-wed', 'b-wed'] });
    expect(stored.log.sessions.some((session) => session.isInvented)).toBe(false);
    expect(JSON.stringify(stored.log)).not.toContain('"i"');
  });

  test('a rep of the invented example under a real athlete goes with all that is invented, with the session that was only its own; undo brings both back', async () => {
    const storage = memoryDevice().tab();
    await filled(storage);
    const { rep } = newRepOf('example', 'a', sessionOf('today', '2026-03-20'));
    valueOf(await storage.saveRep({ ...newRepOf('example', 'a', sessionOf('today', '2026-03-20')), rep: { ...rep, isInvented: true } }));
    const before = idsOf(await storage.load());
    const removed = valueOf(await storage.remove({ what: 'invented' }));
    expect(idsOf(await storage.load())).toEqual({ athletes: ['a', 'b'], sessions: ['mon', 'wed'], reps: ['a-mon', 'a-wed', 'b-wed'] });
    valueOf(await storage.putBack(removed));
    expect(idsOf(await storage.load())).toEqual(before);
  });

  test('"erase everything" leaves no database and no file', async () => {
    const device = memoryDevice();
    const storage = device.tab();
    await filled(storage);
    await storage.eraseAll();
    expect(await device.factory.databases()).toEqual([]);
    expect(device.files.size).toBe(0);
  });
});

describe('a full disk (F14)', () => {
  const sites: readonly [string, (storage: Storage) => Promise<Outcome<unknown>>][] = [
    ['saving a rep with track and still', (storage) => storage.saveRep(newRepOf('n', 'a', sessionOf('new', '2026-04-01'), { analysis: analysisOf(), thumbnail: THUMBNAIL }))],
    ['changing an athlete', (storage) => storage.changeAthlete('a', (row) => ({ ...row, note: 'x' }))],
    ['changing a session', (storage) => storage.changeSession('mon', (row) => ({ ...row, note: 'x' }))],
    ['changing a rep', (storage) => storage.changeRep('a-mon', (row) => ({ ...row, note: 'x' }))],
    ['adding rows', (storage) => storage.add({ athletes: [athleteOf('c')], sessions: [sessionOf('fri', '2026-03-06')], analyses: new Map([['b-wed', analysisOf()]]) })],
    ['a profile', (storage) => storage.putProfile({ ...DEFAULT_PROFILE, id: 'own' })],
    ['a setting', (storage) => storage.set('profileInUse', 'own')],
    ['a deletion', (storage) => storage.remove({ what: 'athlete', id: 'a' })],
    ['keeping a clip', (storage) => storage.keepClip('a-wed', clip())],
    ['letting a clip go', (storage) => storage.dropClip('a-mon')],
    ['opening a backup', (storage) => storage.replace(emptyBackup())],
  ];
  test.each(sites)('%s: each of its writes may fail; it says so, nothing is half-written, and a backup still comes out', async (_name, act) => {
    const counted = fullAtWrite(Number.POSITIVE_INFINITY);
    const counting = memoryDevice().tab({ prepare: counted.prepare });
    await filled(counting);
    counted.arm(true);
    valueOf(await act(counting));
    expect(counted.seen()).toBeGreaterThanOrEqual(1);
    for (let n = 1; n <= counted.seen(); n += 1) {
      const device = memoryDevice();
      const full = fullAtWrite(n);
      const storage = device.tab({ prepare: full.prepare });
      await filled(storage);
      const before = await allRows(device);
      const files = [...device.files.keys()];
      full.arm(true);
      const outcome = await act(storage);
      full.arm(false);
      expect(outcome, `write ${n}`).toEqual({ ok: false, problem: { kind: 'storage-full' } });
      expect(await allRows(device), `write ${n}`).toEqual(before);
      expect([...device.files.keys()], `write ${n}`).toEqual(files);
      expect(writeBackup(backupOf(await storage.load(), '2026-03-05T10:00:00.000Z'))).toContain('a-mon');
      storage.close();
    }
  });

  test('a clip that finds no room leaves its rep and no file', async () => {
    const device = memoryDevice();
    let isFull = false;
    const storage = device.tab({ isDiskFull: () => isFull });
    await filled(storage);
    isFull = true;
    expect(await storage.keepClip('a-wed', clip())).toEqual({ ok: false, problem: { kind: 'storage-full' } });
    expect(device.files.has('a-wed')).toBe(false);
    expect((await storage.load()).keptClips.has('a-wed')).toBe(false);
  });
});

describe('two tabs (F15)', () => {
  test('100 interleaved writes from two tabs: none is lost, no number is given twice, and the other tab is told', async () => {
    const device = memoryDevice();
    const [one, two] = [device.tab(), device.tab()];
    await filled(one);
    valueOf(await two.open());
    let told = 0;
    two.listen((word) => { if (word === 'changed') told += 1; });
    const tabs = [one, two];
    const saved = await Promise.all(Array.from({ length: 100 }, (_, i) => (i % 5 === 4
      ? tabs[i % 2]!.changeRep('a-mon', (rep) => ({ ...rep, note: `${rep.note}+` }))
      : tabs[i % 2]!.saveRep(newRepOf(`r${i}`, i % 3 === 0 ? 'a' : 'b', WED)))));
    expect(saved.every((each) => each.ok)).toBe(true);
    const stored = await two.load();
    expect(stored.log.reps).toHaveLength(3 + 80);
    expect(logSchema.safeParse(stored.log).success).toBe(true);
    expect(stored.log.reps.find((rep) => rep.id === 'a-mon')?.note).toBe('+'.repeat(20));
    // Tab one wrote half of them.
    expect(told).toBe(50);
  });
});

function emptyBackup(): Backup {
  return {
    format: BACKUP_FORMAT, version: BACKUP_VERSION, savedAt: '2026-03-05T10:00:00.000Z', log: { athletes: [], sessions: [], reps: [] },
    profiles: [], profileInUse: null, assignments: [], stopRules: null, ladder: null,
  };
}

function backupOf(stored: Stored, savedAt: string): Backup {
  const { profileInUse, assignments, stopRules, ladder } = stored.settings;
  return { ...emptyBackup(), savedAt, log: stored.log, profiles: stored.profiles, profileInUse, assignments, stopRules, ladder };
}

describe('backup round trip (F13)', () => {
  test('40 random backups: opened, saved, erased, opened and saved again are equal byte for byte', async () => {
    const device = memoryDevice();
    const storage = device.tab();
    valueOf(await storage.open());
    await fc.assert(fc.asyncProperty(randomBackup, async (backup) => {
      valueOf(await storage.replace(backup));
      const text = writeBackup(backupOf(await storage.load(), backup.savedAt));
      expect(text).toBe(writeBackup(backup));
      await storage.replace(emptyBackup());
      expect((await storage.load()).log.reps).toEqual([]);
      valueOf(await storage.replace(valueOf(readBackup(text, 'b.json'))));
      expect(writeBackup(backupOf(await storage.load(), backup.savedAt))).toBe(text);
    }), { numRuns: 40 });
  });

  test('what hung on reps that the backup lacks is handed out, and goes back in with the old backup', async () => {
    const device = memoryDevice();
    const storage = device.tab();
    await filled(storage);
    const before = await allRows(device);
    const old = backupOf(await storage.load(), '2026-03-05T10:00:00.000Z');
    const lost = valueOf(await storage.replace(emptyBackup()));
    expect([lost.tracks.length, lost.thumbnails.length, lost.clips.length]).toEqual([2, 2, 2]);
    expect((await storage.load()).keptTracks.size).toBe(0);
    valueOf(await storage.replace(old, lost));
    const after = await allRows(device);
    for (const table of ['athletes', 'sessions', 'reps', 'tracks', 'thumbnails', 'clips']) expect(after[table], table).toEqual(before[table]);
    expect((await storage.clipOf('b-wed'))?.size).toBe(1000);
  });
});
