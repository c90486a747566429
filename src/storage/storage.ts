import type { Transaction } from 'dexie';
import { logFaults, removeAthlete, removeInvented, removeRep, removeSession } from '../athletelog/index.ts';
import type { Athlete, AthleteLog, Rep, Session } from '../athletelog/index.ts';
import type { Backup } from '../export/index.ts';
import type { Analysis } from '../reading/reading.ts';
import type { Profile } from '../tolerances/schema.ts';
import { failure, success, type Outcome, type Problem } from '../units/outcome.ts';
import type { ClipFiles } from './clip-files.ts';
import { createDatabase, storedVersion, type Database } from './database.ts';
import { DATABASE_VERSION } from './migrations.ts';
import { isQuotaError } from './quota.ts';
import { isRefusal } from './refusal.ts';
import { EMPTY_SETTINGS, type Removed, type SettingRow, type Settings, type Stored, type ThumbnailRow } from './rows.ts';
import type { WriteLock } from './write-lock.ts';

/** A small still as it comes from the encoder. */
export type Thumbnail = Omit<ThumbnailRow, 'repId'>;

/** A rep to be saved: its number and, for a new day, its session are settled while saving. */
export interface NewRep {
  readonly rep: Omit<Rep, 'number'>;
  /** The session to make when `rep.sessionId` is not there yet; it takes a session of the same day and place that another tab made meanwhile. */
  readonly session: Session;
  readonly analysis: Analysis | null;
  readonly thumbnail: Thumbnail | null;
}

/** What a deletion takes out. */
export type Removal =
  | { readonly what: 'athlete' | 'session' | 'rep'; readonly id: string }
  | { readonly what: 'invented' };

/** A word from another tab: something was written, or a newer version of the app has taken the database over. */
export type Elsewhere = 'changed' | 'outdated';

/** What hangs on reps that a replacement no longer holds. */
export type Lost = Pick<Removed, 'tracks' | 'thumbnails' | 'clips'>;

/** Everything that is kept on the device. Every call that writes is one transaction: all of it or nothing. */
export interface Storage {
  readonly canKeepClips: boolean;
  /** Opens the database, brings an older one up to date and tidies clip files that belong to no rep. A newer one is left untouched: `file-too-new`. */
  open(): Promise<Outcome<Stored>>;
  load(): Promise<Stored>;
  /** Told of what other tabs do; returns the call that ends it. */
  listen(listener: (word: Elsewhere) => void): () => void;
  saveRep(wanted: NewRep): Promise<Outcome<Rep>>;
  /** Changes one row as it is now in the database; null when it is gone, nothing is written then. */
  changeAthlete(id: string, change: (athlete: Athlete) => Athlete): Promise<Outcome<Athlete | null>>;
  changeSession(id: string, change: (session: Session) => Session): Promise<Outcome<Session | null>>;
  changeRep(id: string, change: (rep: Rep) => Rep): Promise<Outcome<Rep | null>>;
  add(rows: { readonly athletes?: readonly Athlete[]; readonly sessions?: readonly Session[]; readonly reps?: readonly Rep[]; readonly analyses?: ReadonlyMap<string, Analysis> }): Promise<Outcome<null>>;
  putProfile(profile: Profile): Promise<Outcome<null>>;
  set<K extends keyof Settings>(key: K, value: Settings[K]): Promise<Outcome<null>>;
  /** Takes rows out at once; their kept clips stay on the disk until `eraseFiles`, so that all can be put back. */
  remove(removal: Removal): Promise<Outcome<Removed>>;
  putBack(removed: Removed): Promise<Outcome<null>>;
  /** Erases the files of these reps unless a rep has been put back. */
  eraseFiles(repIds: readonly string[]): Promise<void>;
  /** Erases every row, still and clip, and the database itself. */
  eraseAll(): Promise<void>;
  keepClip(repId: string, clip: File): Promise<Outcome<null>>;
  dropClip(repId: string): Promise<Outcome<null>>;
  clipOf(repId: string): Promise<File | null>;
  analysisOf(repId: string): Promise<Analysis | null>;
  thumbnailOf(repId: string): Promise<Blob | null>;
  /**
   * Replaces log, profiles and settings by those of a backup. What belongs to reps that it does not hold goes too, and is
   * returned; `lost` puts such rows in again. Files of clips stay until `eraseFiles`.
   */
  replace(backup: Backup, lost?: Lost): Promise<Outcome<Lost>>;
  close(): void;
}

/** What storage is built on; tests hand in their own. */
export interface StorageParts {
  readonly factory: IDBFactory;
  readonly keyRange: typeof IDBKeyRange;
  readonly files: ClipFiles;
  readonly lock: WriteLock;
  /** Joins the talk between tabs. */
  readonly channel: () => Pick<BroadcastChannel, 'postMessage' | 'close'> & { onmessage: ((event: MessageEvent) => void) | null };
  /** Called with the database before it is opened. */
  readonly prepare?: (db: Database) => void;
}

interface Word {
  readonly kind: 'changed' | 'version';
  readonly version: number;
}

/** Storage on the given parts; nothing is opened or created before `open`. */
export function createStorage(parts: StorageParts): Storage {
  const { files, lock } = parts;
  const db = createDatabase({ indexedDB: parts.factory, IDBKeyRange: parts.keyRange });
  parts.prepare?.(db);
  const listeners = new Set<(word: Elsewhere) => void>();
  const channel = parts.channel();
  const tell = (word: Elsewhere) => {
    for (const listener of listeners) listener(word);
  };
  channel.onmessage = (event: MessageEvent<Word>) => {
    if (event.data.version > DATABASE_VERSION) tell('outdated');
    else if (event.data.kind === 'changed') tell('changed');
  };
  const say = (kind: Word['kind']) => { channel.postMessage({ kind, version: DATABASE_VERSION } satisfies Word); };
  // A newer tab wants to upgrade: let go of the database, or it could never do so.
  db.on('versionchange', () => {
    db.close();
    tell('outdated');
  });

  /** One writing transaction; a lack of room is a problem, everything else is thrown. The caller holds the lock. */
  const transact = async <T>(work: (transaction: Transaction) => Promise<T>): Promise<Outcome<T>> => {
    try {
      const value = await db.transaction('rw', db.tables, work);
      say('changed');
      return success(value);
    } catch (error) {
      if (isQuotaError(error)) return failure({ kind: 'storage-full' });
      throw error;
    }
  };
  const write = <T>(work: (transaction: Transaction) => Promise<T>): Promise<Outcome<T>> => lock(() => transact(work));

  const load = (): Promise<Stored> =>
    db.transaction('r', db.tables, async () => {
      const [athletes, sessions, reps, profiles, settings, clips, tracks] = await Promise.all([
        db.athletes.toArray(), db.sessions.toArray(), db.reps.toArray(), db.profiles.toArray(),
        db.settings.toArray(), db.clips.toCollection().primaryKeys(), db.tracks.toCollection().primaryKeys(),
      ]);
      return {
        log: { athletes, sessions, reps },
        profiles,
        settings: { ...EMPTY_SETTINGS, ...Object.fromEntries(settings.map((row) => [row.key, row.value])) },
        keptClips: new Set(clips),
        keptTracks: new Set(tracks),
      };
    });

  /** Clip files without a rep are left over from a deletion that could no longer be undone, or from a write that was cut off. */
  const tidy = () =>
    lock(async () => {
      const kept = new Set(await db.clips.toCollection().primaryKeys());
      for (const name of await files.names()) if (!kept.has(name)) await files.remove(name);
    });

  const logNow = async (): Promise<AthleteLog> => {
    const [athletes, sessions, reps] = await Promise.all([db.athletes.toArray(), db.sessions.toArray(), db.reps.toArray()]);
    return { athletes, sessions, reps };
  };

  const without = (log: AthleteLog, removal: Removal): AthleteLog => {
    switch (removal.what) {
      case 'athlete':
        return removeAthlete(log, removal.id);
      case 'session':
        return removeSession(log, removal.id);
      case 'rep':
        return removeRep(log, removal.id);
      case 'invented':
        return removeInvented(log);
    }
  };

  const changeRow = <T extends { readonly id: string }>(table: 'athletes' | 'sessions' | 'reps', id: string, change: (row: T) => T): Promise<Outcome<T | null>> =>
    write(async () => {
      const row = (await db.table(table).get(id)) as T | undefined;
      if (row === undefined) return null;
      const next = change(row);
      if (next.id !== id) throw new RangeError('a change keeps the id');
      await db.table(table).put(next);
      return next;
    });

  const putRowsBack = async (removed: Removed, missing: readonly string[]): Promise<null> => {
    await db.athletes.bulkPut([...removed.athletes]);
    await db.sessions.bulkPut([...removed.sessions]);
    for (const before of removed.changedSessions) {
      const now = await db.sessions.get(before.id);
      if (now === undefined) continue;
      const listed = new Set(now.present.map((each) => each.athleteId));
      await db.sessions.put({ ...now, isInvented: before.isInvented, present: [...now.present, ...before.present.filter((each) => !listed.has(each.athleteId))] });
    }
    for (const rep of removed.reps) {
      const others = await db.reps.where('athleteId').equals(rep.athleteId).filter((each) => each.sessionId === rep.sessionId).toArray();
      const isTaken = others.some((each) => each.number === rep.number);
      await db.reps.put(isTaken ? { ...rep, number: nextNumber(others) } : rep);
    }
    await db.tracks.bulkPut([...removed.tracks]);
    await db.thumbnails.bulkPut([...removed.thumbnails]);
    await db.clips.bulkPut(removed.clips.filter((row) => !missing.includes(row.repId)));
    if (removed.assignments !== null) await db.settings.put({ key: 'assignments', value: removed.assignments });
    const [fault] = logFaults(await logNow());
    if (fault !== undefined) throw new RangeError(fault);
    return null;
  };

  return {
    canKeepClips: files.canKeep,

    async open() {
      try {
        const version = await storedVersion(parts.factory);
        if (version > DATABASE_VERSION) return failure({ kind: 'file-too-new', version });
        await db.open();
        say('version');
        await tidy();
        return success(await load());
      } catch (error) {
        const problem = openProblem(error);
        if (problem === null) throw error;
        return failure(problem);
      }
    },
    load,
    listen(listener) {
      listeners.add(listener);
      return () => { listeners.delete(listener); };
    },

    saveRep: ({ rep, session, analysis, thumbnail }) =>
      write(async () => {
        const place = (await db.sessions.get(rep.sessionId))
          ?? (await db.sessions.where('date').equals(session.date).filter((each) => each.place === session.place && !each.isInvented).first())
          ?? session;
        const listed = place.present.some((each) => each.athleteId === rep.athleteId);
        const present = listed ? place.present : [...place.present, { athleteId: rep.athleteId, legs: rep.legs, floorPlan: null }];
        if ((await db.athletes.get(rep.athleteId)) === undefined) throw new RangeError(`rep ${rep.id} has no athlete`);
        await db.sessions.put({ ...place, present });
        const others = await db.reps.where('athleteId').equals(rep.athleteId).filter((each) => each.sessionId === place.id).toArray();
        const saved: Rep = { ...rep, sessionId: place.id, number: nextNumber(others) };
        await db.reps.add(saved);
        if (analysis !== null) await db.tracks.put({ repId: saved.id, analysis });
        if (thumbnail !== null) await db.thumbnails.put({ repId: saved.id, ...thumbnail });
        return saved;
      }),
    changeAthlete: (id, change) => changeRow('athletes', id, change),
    changeSession: (id, change) => changeRow('sessions', id, change),
    changeRep: (id, change) => changeRow('reps', id, change),
    add: ({ athletes = [], sessions = [], reps = [], analyses = new Map<string, Analysis>() }) =>
      write(async () => {
        await db.athletes.bulkPut([...athletes]);
        await db.sessions.bulkPut([...sessions]);
        await db.reps.bulkPut([...reps]);
        await db.tracks.bulkPut([...analyses].map(([repId, analysis]) => ({ repId, analysis })));
        return null;
      }),
    putProfile: (profile) =>
      write(async () => {
        await db.profiles.put(profile);
        return null;
      }),
    set: (key, value) =>
      write(async () => {
        const row: SettingRow = { key, value };
        await db.settings.put(row);
        return null;
      }),

    remove: (removal) =>
      write(async () => {
        const before = await logNow();
        const after = without(before, removal);
        const kept = new Set([...after.athletes, ...after.sessions, ...after.reps].map((row) => row.id));
        const gone = <T extends { readonly id: string }>(rows: readonly T[]): T[] => rows.filter((row) => !kept.has(row.id));
        const athletes = gone(before.athletes);
        const sessions = gone(before.sessions);
        const reps = gone(before.reps);
        const changed = after.sessions.filter((session) => !before.sessions.includes(session));
        const changedIds = new Set(changed.map((session) => session.id));
        const repIds = reps.map((rep) => rep.id);
        const isThere = <T>(row: T | undefined): row is T => row !== undefined;
        const removed: Removed = {
          athletes, sessions, reps,
          tracks: (await db.tracks.bulkGet(repIds)).filter(isThere),
          thumbnails: (await db.thumbnails.bulkGet(repIds)).filter(isThere),
          clips: (await db.clips.bulkGet(repIds)).filter(isThere),
          changedSessions: before.sessions.filter((session) => changedIds.has(session.id)),
          assignments: await dropFromAssignments(db, athletes.map((athlete) => athlete.id)),
        };
        await forgetLastAthlete(db, athletes.map((athlete) => athlete.id));
        await Promise.all([
          db.athletes.bulkDelete(athletes.map((row) => row.id)),
          db.sessions.bulkDelete(sessions.map((row) => row.id)),
          db.reps.bulkDelete(repIds), db.tracks.bulkDelete(repIds), db.thumbnails.bulkDelete(repIds), db.clips.bulkDelete(repIds),
          db.sessions.bulkPut(changed),
        ]);
        return removed;
      }),
    putBack: (removed) =>
      lock(async () => {
        const missing: string[] = [];
        for (const { repId } of removed.clips) if ((await files.read(repId)) === null) missing.push(repId);
        return transact(() => putRowsBack(removed, missing));
      }),
    eraseFiles: (repIds) =>
      lock(async () => {
        const kept = new Set((await db.clips.bulkGet([...repIds])).map((row) => row?.repId));
        for (const repId of repIds) if (!kept.has(repId)) await files.remove(repId);
      }),
    eraseAll: () =>
      lock(async () => {
        for (const name of await files.names()) await files.remove(name);
        await db.delete();
        say('changed');
      }),

    keepClip: (repId, clip) =>
      lock(async () => {
        // File first, row second: a file without its row is tidied away, a row never lacks its file.
        const written = await files.write(repId, clip);
        if (!written.ok) return written;
        const kept = await transact(async () => {
          if ((await db.reps.get(repId)) === undefined) return false;
          await db.clips.put({ repId, fileName: clip.name, type: clip.type, sizeBytes: clip.size });
          return true;
        });
        if (!kept.ok || !kept.value) await files.remove(repId);
        return kept.ok ? success(null) : kept;
      }),
    dropClip: (repId) =>
      lock(async () => {
        const dropped = await transact(async () => {
          await db.clips.delete(repId);
          return null;
        });
        if (dropped.ok) await files.remove(repId);
        return dropped;
      }),
    clipOf: async (repId) => {
      const row = await db.clips.get(repId);
      if (row === undefined) return null;
      const file = await files.read(repId);
      return file === null ? null : new File([file], row.fileName, { type: row.type });
    },
    analysisOf: async (repId) => (await db.tracks.get(repId))?.analysis ?? null,
    thumbnailOf: async (repId) => {
      const row = await db.thumbnails.get(repId);
      return row === undefined ? null : new Blob([row.bytes], { type: row.type });
    },

    replace: (backup, back = { tracks: [], thumbnails: [], clips: [] }) =>
      write(async () => {
        const { log } = backup;
        const repIds = new Set(log.reps.map((rep) => rep.id));
        const goneFrom = async (table: typeof db.tracks | typeof db.thumbnails | typeof db.clips): Promise<string[]> =>
          (await table.toCollection().primaryKeys()).filter((id) => !repIds.has(id));
        const isThere = <T>(row: T | undefined): row is T => row !== undefined;
        const [tracks, thumbnails, clips] = [await goneFrom(db.tracks), await goneFrom(db.thumbnails), await goneFrom(db.clips)];
        const lost: Lost = {
          tracks: (await db.tracks.bulkGet(tracks)).filter(isThere),
          thumbnails: (await db.thumbnails.bulkGet(thumbnails)).filter(isThere),
          clips: (await db.clips.bulkGet(clips)).filter(isThere),
        };
        await Promise.all([
          db.tracks.bulkDelete(tracks), db.thumbnails.bulkDelete(thumbnails), db.clips.bulkDelete(clips),
          db.athletes.clear(), db.sessions.clear(), db.reps.clear(), db.profiles.clear(),
        ]);
        await db.athletes.bulkAdd([...log.athletes]);
        await db.sessions.bulkAdd([...log.sessions]);
        await db.reps.bulkAdd([...log.reps]);
        await db.profiles.bulkAdd([...backup.profiles]);
        await db.tracks.bulkPut([...back.tracks]);
        await db.thumbnails.bulkPut([...back.thumbnails]);
        await db.clips.bulkPut([...back.clips]);
        const settings: SettingRow[] = [
          { key: 'profileInUse', value: backup.profileInUse },
          { key: 'assignments', value: backup.assignments },
          { key: 'stopRules', value: backup.stopRules },
          { key: 'ladder', value: backup.ladder },
        ];
        await db.settings.bulkPut(settings);
        return lost;
      }),
    close() {
      channel.onmessage = null;
      channel.close();
      db.close();
    },
  };
}

/** The number after the highest one. */
function nextNumber(reps: readonly Rep[]): number {
  return reps.reduce((most, each) => Math.max(most, each.number), 0) + 1;
}

/** What an error while opening means; null when it is none of the expected ones. */
function openProblem(error: unknown): Problem | null {
  if (isQuotaError(error)) return { kind: 'storage-full' };
  return isRefusal(error) ? { kind: 'storage-unavailable' } : null;
}

/** Takes athletes out of the assignments; returns them as they were, null when nothing had to change. */
async function dropFromAssignments(db: Database, athleteIds: readonly string[]): Promise<Settings['assignments'] | null> {
  const row = await db.settings.get('assignments');
  const before = (row?.value ?? []) as Settings['assignments'];
  if (!before.some((each) => each.athleteIds.some((id) => athleteIds.includes(id)))) return null;
  await db.settings.put({ key: 'assignments', value: before.map((each) => ({ ...each, athleteIds: each.athleteIds.filter((id) => !athleteIds.includes(id)) })) });
  return before;
}

/** Whose rep was saved last is remembered for the next one, but not of athletes that are gone. */
async function forgetLastAthlete(db: Database, athleteIds: readonly string[]): Promise<void> {
  const remembered = (await db.settings.get('remembered'))?.value as Settings['remembered'] | undefined;
  if (remembered?.athleteId == null || !athleteIds.includes(remembered.athleteId)) return;
  await db.settings.put({ key: 'remembered', value: { ...remembered, athleteId: null } });
}
