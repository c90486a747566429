import type { WriteAnswer } from '../src/storage/clip-files.ts';
import { isQuotaError } from '../src/storage/quota.ts';

/** Bytes written at once; chosen: small beside the memory of a phone, large beside the cost of a call. */
const CHUNK_BYTES = 4 * 1024 * 1024;

/** Writes one clip into the private file system and answers how it went. */
async function write(folder: string, name: string, clip: Blob): Promise<WriteAnswer> {
  const directory = await (await navigator.storage.getDirectory()).getDirectoryHandle(folder, { create: true });
  const file = await directory.getFileHandle(name, { create: true });
  if (typeof file.createSyncAccessHandle !== 'function') return 'no-handle';
  const handle = await file.createSyncAccessHandle();
  try {
    handle.truncate(0);
    for (let at = 0; at < clip.size; at += CHUNK_BYTES) {
      const bytes = await clip.slice(at, at + CHUNK_BYTES).arrayBuffer();
      if (handle.write(bytes, { at }) < bytes.byteLength) return 'full';
    }
    handle.flush();
    return 'written';
  } catch (error) {
    if (isQuotaError(error)) return 'full';
    throw error;
  } finally {
    handle.close();
  }
}

self.onmessage = (event: MessageEvent<{ readonly folder: string; readonly name: string; readonly clip: Blob }>) => {
  const { folder, name, clip } = event.data;
  write(folder, name, clip).then(
    (answer) => { self.postMessage(answer); },
    (broken: unknown) => {
      // An error inside a promise would never reach the page; thrown from a task it does.
      setTimeout(() => { throw broken; });
    },
  );
};
