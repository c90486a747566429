import type { Analysis } from '../reading/reading.ts';
import type { ClipFiles } from './clip-files.ts';
import { clipHash } from './clip-hash.ts';
import { isQuotaError } from './quota.ts';
import { isRefusal } from './refusal.ts';
import { createWorkDatabase, type WorkDatabase } from './work-database.ts';
import type { WaitingFacts } from './work-rows.ts';

/** Room for results. Chosen: about 400 clips of 3 s. */
const MOST_BYTES = 48 * 1024 * 1024;
/** A result that nobody asked for goes after this long, milliseconds: 30 days. Chosen: a month of practice. */
const LONGEST_REST_MS = 30 * 24 * 3600 * 1000;

/** A clip that a page which is gone had in hand. */
export interface LeftClip extends WaitingFacts {
  readonly id: string;
}

/** A result that was kept, and when its clip was measured (ISO 8601). */
export interface KeptResult {
  readonly analysis: Analysis;
  readonly measuredAt: string;
}

/** Where a result belongs: the clip by its bytes, and the engine with what was asked of it as a text. */
export interface ResultPlace {
  readonly clipHash: string;
  readonly asked: string;
}

/**
 * The work in hand, kept over a reload: results by clip, and the clips that still wait. It only saves time: where the browser
 * keeps nothing, or has no room, every call answers as if there were nothing.
 */
export interface WorkStorage {
  /** The clip's content as a short text; null where this browser cannot tell. */
  hashOf(clip: Blob): Promise<string | null>;
  resultAt(place: ResultPlace): Promise<KeptResult | null>;
  /** Keeps a result, under the rep where the clip is saved as one; those that rested longest make room. */
  keepResult(place: ResultPlace, analysis: Analysis, repId: string | null): Promise<void>;
  /** Notes that a rep was saved from this clip. */
  linkResults(clipHash: string, repId: string): Promise<void>;
  /** Forgets results and waiting clips that were linked to reps other than these. */
  keepOnlyReps(repIds: ReadonlySet<string>): Promise<void>;
  /** Copies a clip aside until `letGo`; null when that cannot be done. */
  hold(clip: File, facts: WaitingFacts): Promise<string | null>;
  /** The bytes of a held clip as a file of its own, which stays readable after `letGo`; null when they are gone. */
  fileOf(id: string): Promise<File | null>;
  letGo(id: string): Promise<void>;
  /** Hands over the clips of every page that is gone, now or later, in the order in which they were opened; tidies what belongs to nobody. */
  takeOver(onLeft: (clips: readonly LeftClip[]) => void): Promise<void>;
  eraseAll(): Promise<void>;
}

/** What the storage of the work in hand is built on; tests hand in their own. */
export interface WorkParts {
  readonly factory: IDBFactory;
  readonly keyRange: typeof IDBKeyRange;
  readonly files: ClipFiles;
  /** The browser's locks, by which a page shows that it lives; without them every waiting clip is taken for left. */
  readonly locks: Pick<LockManager, 'request'> | undefined;
  readonly now: () => Date;
  readonly newId: () => string;
  readonly subtle?: SubtleCrypto | undefined;
}

/** Storage of the work in hand on the given parts. */
export function createWorkStorage(parts: WorkParts): WorkStorage {
  const { files, locks } = parts;
  const db = createWorkDatabase({ indexedDB: parts.factory, IDBKeyRange: parts.keyRange });
  const tab = parts.newId();
  const tabLock = (id: string): string => `lungeline-page-${id}`;
  // Held for the page's life.
  void locks?.request(tabLock(tab), () => new Promise(() => undefined));
  /** Copying runs one clip at a time, beside everything else. */
  let copying: Promise<unknown> = Promise.resolve();

  const letGo = (id: string): Promise<void> =>
    gently(undefined, async () => {
      await db.waiting.delete(id);
      await files.remove(id);
    });

  const takeFrom = async (gone: string): Promise<readonly LeftClip[]> => {
    const rows = await db.transaction('rw', db.waiting, async () => {
      const theirs = await db.waiting.where('tab').equals(gone).sortBy('place');
      await db.waiting.bulkPut(theirs.map((row) => ({ ...row, tab })));
      return theirs;
    });
    const left: LeftClip[] = [];
    for (const { id, title, request, stated, saved, isWhole } of rows) {
      if (isWhole) left.push({ id, title, request, stated, saved });
      else await letGo(id); // The page went while it was still being copied.
    }
    return left;
  };

  return {
    hashOf: (clip) => clipHash(clip, parts.subtle),

    resultAt: ({ clipHash: hash, asked }) =>
      gently(null, async () => {
        const row = await db.results.get(`${hash} ${asked}`);
        if (row === undefined) return null;
        await db.results.update(row.key, { usedAt: parts.now().getTime() });
        return { analysis: row.analysis, measuredAt: row.measuredAt };
      }),

    keepResult: ({ clipHash: hash, asked }, analysis, repId) =>
      gently(undefined, () =>
        db.transaction('rw', db.results, async () => {
          const now = parts.now();
          const siblings = await db.results.where('clipHash').equals(hash).toArray();
          const repIds = new Set([...siblings.flatMap((row) => row.repIds), ...(repId === null ? [] : [repId])]);
          await db.results.put({
            key: `${hash} ${asked}`, clipHash: hash, usedAt: now.getTime(), measuredAt: now.toISOString(),
            sizeBytes: sizeOf(analysis), repIds: [...repIds], analysis,
          });
          await makeRoom(db, now.getTime());
        })),

    linkResults: (hash, repId) =>
      gently(undefined, async () => {
        await db.results.where('clipHash').equals(hash).modify((row, ref) => { ref.value = { ...row, repIds: [...new Set([...row.repIds, repId])] }; });
      }),

    keepOnlyReps: (repIds) =>
      gently(undefined, async () => {
        const linked = await db.results.orderBy('repIds').uniqueKeys();
        const gone = linked.filter((id) => typeof id !== 'string' || !repIds.has(id));
        if (gone.length > 0) {
          const hashes = new Set((await db.results.where('repIds').anyOf(gone).toArray()).map((row) => row.clipHash));
          await db.results.where('clipHash').anyOf([...hashes]).delete();
        }
        for (const { id, saved } of await db.waiting.toArray()) if (saved !== null && !repIds.has(saved.repId)) await letGo(id);
      }),

    hold(clip, facts) {
      const held = copying.then(() => gently(null, () => copyAside(clip, facts)));
      copying = held;
      return held;
    },

    fileOf: (id) =>
      gently(null, async () => {
        const row = await db.waiting.get(id);
        const file = row === undefined ? null : await files.read(id);
        if (row === undefined || file === null) return null;
        // Read through into a blob of the page's own: the browser holds it, on disk where it is large.
        return new File([await new Response(file.stream()).blob()], row.fileName, { type: row.type });
      }),

    letGo,

    takeOver: (onLeft) =>
      gently(undefined, async () => {
        await makeRoom(db, parts.now().getTime());
        const rows = await db.waiting.toArray();
        const known = new Set(rows.map((row) => row.id));
        for (const name of await files.names()) if (!known.has(name)) await files.remove(name);
        for (const gone of new Set(rows.map((row) => row.tab))) {
          if (gone === tab) continue;
          const take = async (): Promise<void> => {
            const left = await gently([], () => takeFrom(gone));
            if (left.length > 0) onLeft(left);
          };
          // A page that still lives holds its lock: then this waits until it is gone, however long.
          if (locks === undefined) await take();
          else void locks.request(tabLock(gone), take);
        }
      }),

    eraseAll: () =>
      gently(undefined, async () => {
        for (const name of await files.names()) await files.remove(name);
        await db.delete();
        await db.open();
      }),
  };

  async function copyAside(clip: File, facts: WaitingFacts): Promise<string | null> {
    if (!files.canKeep) return null;
    const id = parts.newId();
    // Row first: a file without a row is tidied away by any page.
    await db.transaction('rw', db.waiting, async () => {
      const last = await db.waiting.orderBy('place').last();
      await db.waiting.add({ ...facts, id, tab, place: (last?.place ?? 0) + 1, fileName: clip.name, type: clip.type, isWhole: false });
    });
    const written = await files.write(id, clip);
    const isStillWanted = written.ok && (await db.waiting.update(id, { isWhole: true })) > 0;
    if (isStillWanted) return id;
    await letGo(id);
    return null;
  }
}

/** Drops what nobody asked for in a month, then what rested longest, until the results fit their room. Sizes are read from the index, not from the rows. */
async function makeRoom(db: WorkDatabase, nowMs: number): Promise<void> {
  const byRest = db.results.orderBy('[usedAt+sizeBytes]').reverse();
  const places = (await byRest.keys()) as unknown as readonly (readonly [number, number])[];
  const keys = await byRest.primaryKeys();
  let bytes = 0;
  const tooMuch = keys.filter((_, i) => {
    const [usedAt = 0, sizeBytes = 0] = places[i] ?? [];
    bytes += sizeBytes;
    return bytes > MOST_BYTES || nowMs - usedAt > LONGEST_REST_MS;
  });
  await db.results.bulkDelete(tooMuch);
}

/** About how much room a result takes, bytes: its arrays; the few words beside them hardly count. */
function sizeOf(analysis: Analysis): number {
  const { times, xy, score, sd } = analysis.track;
  const { sharpnessByFrame, background } = analysis.quality;
  return [times, xy, score, sd, sharpnessByFrame, background?.xPx, background?.yPx, background?.turnRad].reduce((sum, array) => sum + (array?.byteLength ?? 0), 4096);
}

/** Names of the errors of a file that is no longer there. */
const GONE: readonly string[] = ['NotFoundError', 'NotReadableError'];

/** The answer of some work with the disk, or `otherwise` where the browser refuses, has no room or has lost the file. */
async function gently<T>(otherwise: T, work: () => PromiseLike<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (isQuotaError(error) || isRefusal(error) || (error instanceof Error && GONE.includes(error.name))) return otherwise;
    throw error;
  }
}
