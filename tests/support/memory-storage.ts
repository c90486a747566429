import { IDBFactory, IDBKeyRange } from 'fake-indexeddb';
import type { Database } from '../../src/storage/database.ts';
import { createStorage, type Storage } from '../../src/storage/storage.ts';
import { createWriteLock, type WriteLock } from '../../src/storage/write-lock.ts';
import { memoryClipFiles } from './memory-clip-files.ts';

/** One device with its disk, on which several tabs can open storage. */
export interface Device {
  readonly factory: IDBFactory;
  readonly files: Map<string, Blob>;
  /** A tab; each has its own connection and hears the others. */
  tab(options?: { readonly prepare?: (db: Database) => void; readonly isDiskFull?: () => boolean }): Storage;
}

/** A device in memory. Tabs share one write lock, as the browser's locks do. */
export function memoryDevice(): Device {
  const factory = new IDBFactory();
  const files = new Map<string, Blob>();
  const lock: WriteLock = createWriteLock(undefined);
  const ends = new Set<{ onmessage: ((event: MessageEvent) => void) | null }>();
  return {
    factory,
    files,
    tab: ({ prepare, isDiskFull = () => false } = {}) => {
      const clipFiles = memoryClipFiles(files, isDiskFull);
      return createStorage({
        factory, keyRange: IDBKeyRange, files: clipFiles, lock,
        channel: () => {
          const end = {
            onmessage: null as ((event: MessageEvent) => void) | null,
            postMessage: (data: unknown) => {
              for (const other of ends) if (other !== end) other.onmessage?.(new MessageEvent('message', { data }));
            },
            close: () => { ends.delete(end); },
          };
          ends.add(end);
          return end;
        },
        ...(prepare === undefined ? {} : { prepare }),
      });
    },
  };
}

/** Makes the n-th write of a database (from 1, over all tables) fail as a full disk does; returns how many writes were seen. */
export function fullAtWrite(n: number): { readonly prepare: (db: Database) => void; readonly seen: () => number; arm: (isOn: boolean) => void } {
  let count = 0;
  let isArmed = false;
  return {
    seen: () => count,
    arm: (isOn) => {
      isArmed = isOn;
      count = 0;
    },
    prepare: (db) => {
      db.use({
        stack: 'dbcore',
        name: 'full-disk',
        create: (core) => ({
          ...core,
          table: (name) => {
            const table = core.table(name);
            return {
              ...table,
              mutate: (request) => {
                if (!isArmed) return table.mutate(request);
                count += 1;
                return count === n ? Promise.reject(new DOMException('full', 'QuotaExceededError')) : table.mutate(request);
              },
            };
          },
        }),
      });
    },
  };
}
