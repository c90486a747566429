import { opfsClipFiles } from './clip-files.ts';
import { createStorage, type Storage } from './storage.ts';
import { createWorkStorage, type WorkStorage } from './work-storage.ts';
import { createWriteLock } from './write-lock.ts';

const CHANNEL_NAME = 'lungeline-records';

/** Lib.dom says that these are always there; outside a secure context, or in some private windows, they are not. */
type Sometimes<T> = { readonly [K in keyof T]?: T[K] | undefined };

/** Storage of this browser; null where it has no database at all. */
export function browserStorage(): Storage | null {
  const page = globalThis as Sometimes<typeof globalThis>;
  const { locks, storage } = navigator as Sometimes<Navigator>;
  if (page.indexedDB === undefined || page.IDBKeyRange === undefined) return null;
  return createStorage({
    factory: page.indexedDB,
    keyRange: page.IDBKeyRange,
    files: opfsClipFiles(storage, 'clips'),
    lock: createWriteLock(locks),
    channel: () => new BroadcastChannel(CHANNEL_NAME),
  });
}

/** Storage of the work in hand in this browser; null where it has no database at all. */
export function browserWorkStorage(): WorkStorage | null {
  const page = globalThis as Sometimes<typeof globalThis>;
  const { locks, storage } = navigator as Sometimes<Navigator>;
  if (page.indexedDB === undefined || page.IDBKeyRange === undefined) return null;
  return createWorkStorage({
    factory: page.indexedDB,
    keyRange: page.IDBKeyRange,
    files: opfsClipFiles(storage, 'waiting'),
    locks,
    now: () => new Date(),
    newId: () => crypto.randomUUID(),
  });
}
