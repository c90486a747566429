import type { ClipFiles } from '../../src/storage/clip-files.ts';
import { failure, success } from '../../src/units/outcome.ts';

/** Kept clips in a map; a write fails with `storage-full` while the disk is full. */
export function memoryClipFiles(files: Map<string, Blob>, isDiskFull: () => boolean): ClipFiles {
  return {
    canKeep: true,
    write: (name, clip) => {
      if (isDiskFull()) return Promise.resolve(failure({ kind: 'storage-full' }));
      files.set(name, clip);
      return Promise.resolve(success(null));
    },
    read: (name) => {
      const clip = files.get(name);
      return Promise.resolve(clip === undefined ? null : new File([clip], name));
    },
    remove: (name) => {
      files.delete(name);
      return Promise.resolve();
    },
    names: () => Promise.resolve([...files.keys()]),
  };
}
