import type { ClipFolder, WriteAnswer } from '../src/storage/clip-files.ts';
import { isQuotaError } from '../src/storage/quota.ts';

/** Bytes written at once; chosen: small beside the memory of a phone, large beside the cost of a call. */
const CHUNK_BYTES = 4 * 1024 * 1024;

/** A file as workers write it; older browsers have no such handle. https://fs.spec.whatwg.org/#api-filesystemsyncaccesshandle */
interface WritableFile {
  readonly name: string;
  readonly createSyncAccessHandle?: () => Promise<{
    truncate(size: number): void;
    write(bytes: ArrayBuffer, place: { readonly at: number }): number;
    flush(): void;
    close(): void;
  }>;
}

/** Writes one clip into a folder of the private file system, from inside a worker, and answers how it went; 'full' at whatever step there is no room. */
export async function writeClip(root: FileSystemDirectoryHandle, folder: ClipFolder, name: string, clip: Blob): Promise<WriteAnswer> {
  try {
    const file: WritableFile = await (await root.getDirectoryHandle(folder, { create: true })).getFileHandle(name, { create: true });
    if (file.createSyncAccessHandle === undefined) return 'no-handle';
    const handle = await file.createSyncAccessHandle();
    try {
      handle.truncate(0);
      for (let at = 0; at < clip.size; at += CHUNK_BYTES) {
        const bytes = await clip.slice(at, at + CHUNK_BYTES).arrayBuffer();
        if (handle.write(bytes, { at }) < bytes.byteLength) return 'full';
      }
      handle.flush();
      return 'written';
    } finally {
      handle.close();
    }
  } catch (error) {
    if (isQuotaError(error)) return 'full';
    throw error;
  }
}
