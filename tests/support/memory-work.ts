import { IDBFactory, IDBKeyRange } from 'fake-indexeddb';
import { createWorkStorage, type WorkStorage } from '../../src/storage/work-storage.ts';
import { memoryClipFiles } from './memory-clip-files.ts';

/** A device on which several pages have work in hand. */
export interface WorkDevice {
  readonly factory: IDBFactory;
  readonly files: Map<string, Blob>;
  /** The clock; tests move it. */
  readonly clock: { now: Date };
  /** A page that lives until its `end` is called, as by a reload. */
  page(options?: { readonly isDiskFull?: () => boolean }): { readonly work: WorkStorage; readonly end: () => void };
}

/** A device in memory, with locks that hold as long as a page lives. */
export function workDevice(): WorkDevice {
  const factory = new IDBFactory();
  const files = new Map<string, Blob>();
  const clock = { now: new Date('2026-03-02T10:00:00Z') };
  const held = new Map<string, Promise<unknown>>();
  let ids = 0;
  return {
    factory, files, clock,
    page: ({ isDiskFull = () => false } = {}) => {
      const endings: (() => void)[] = [];
      const clipFiles = memoryClipFiles(files, isDiskFull);
      // A lock is free once whatever was asked before it is over, or the page that held it has ended.
      const request = (name: string, run: () => Promise<unknown>): Promise<unknown> => {
        const before = held.get(name) ?? Promise.resolve();
        const ended = new Promise<void>((resolve) => { endings.push(resolve); });
        const mine = before.then(() => Promise.race([run(), ended]));
        held.set(name, mine);
        return mine;
      };
      const work = createWorkStorage({
        factory, keyRange: IDBKeyRange, files: clipFiles,
        locks: { request } as unknown as Pick<LockManager, 'request'>,
        now: () => clock.now,
        newId: () => `id-${(ids += 1)}`,
      });
      return { work, end: () => { for (const end of endings) end(); } };
    },
  };
}
