import { failure, success, type Outcome } from '../units/outcome.ts';
import { isQuotaError } from './quota.ts';

/** Clips, one file each, on the device's own disk and out of sight of other sites. */
export interface ClipFiles {
  /** Whether this browser can keep clips at all. */
  readonly canKeep: boolean;
  /** Writes a whole file or nothing. */
  write(name: string, clip: Blob): Promise<Outcome<null>>;
  /** The file, null when there is none. */
  read(name: string): Promise<File | null>;
  /** Removes the file; nothing happens when there is none. */
  remove(name: string): Promise<void>;
  names(): Promise<readonly string[]>;
}

/** What the writing worker answers. */
export type WriteAnswer = 'written' | 'full' | 'no-handle';

/** Clips that the user keeps, and clips that only wait to be measured. */
export type ClipFolder = 'clips' | 'waiting';

function isMissing(error: unknown): boolean {
  return error instanceof DOMException && error.name === 'NotFoundError';
}

/** Clips in a folder of the browser's private file system. https://fs.spec.whatwg.org/ */
export function opfsClipFiles(storage: StorageManager | undefined, folderName: ClipFolder): ClipFiles {
  const canKeep = typeof storage?.getDirectory === 'function';
  // Made only to write: on a full disk the rest must still work.
  const folder = async (create: boolean): Promise<FileSystemDirectoryHandle> => {
    if (!canKeep) throw new TypeError('this browser keeps no files');
    return (await storage.getDirectory()).getDirectoryHandle(folderName, { create });
  };
  const remove = async (name: string): Promise<void> => {
    if (!canKeep) return;
    try {
      await (await folder(false)).removeEntry(name);
    } catch (error) {
      if (!isMissing(error)) throw error;
    }
  };
  return {
    canKeep,
    async write(name, clip) {
      try {
        const answer = await writeInWorker(folderName, name, clip);
        if (answer === 'full') {
          await remove(name);
          return failure({ kind: 'storage-full' });
        }
        if (answer === 'no-handle') {
          const file = await (await folder(true)).getFileHandle(name, { create: true });
          const stream = await file.createWritable();
          await clip.stream().pipeTo(stream);
        }
        return success(null);
      } catch (error) {
        if (!isQuotaError(error)) throw error;
        await remove(name);
        return failure({ kind: 'storage-full' });
      }
    },
    async read(name) {
      if (!canKeep) return null;
      try {
        return await (await (await folder(false)).getFileHandle(name)).getFile();
      } catch (error) {
        if (isMissing(error)) return null;
        throw error;
      }
    },
    remove,
    async names() {
      if (!canKeep) return [];
      const found: string[] = [];
      try {
        for await (const name of (await folder(false)).keys()) found.push(name);
      } catch (error) {
        if (!isMissing(error)) throw error;
      }
      return found;
    },
  };
}

/** A big file is written beside the page, so that the page stays quick. The worker lives for one file. */
function writeInWorker(folder: ClipFolder, name: string, clip: Blob): Promise<WriteAnswer> {
  const worker = new Worker(new URL('../../workers/keep-clip.worker.ts', import.meta.url), { type: 'module' });
  return new Promise<WriteAnswer>((resolve, reject) => {
    worker.onmessage = (event: MessageEvent<WriteAnswer>) => { resolve(event.data); };
    worker.onerror = (event) => { reject(new Error(event.message)); };
    worker.postMessage({ folder, name, clip });
  }).finally(() => { worker.terminate(); });
}
