import { describe, expect, test } from 'vitest';
import { writeClip } from '../../workers/write-clip.ts';

const CLIP = new Blob(['0123456789']);
const full = (): never => { throw new DOMException('no room', 'QuotaExceededError'); };

/** A file system of one file; each step can be made to fail. */
function fileSystem(fail: { readonly at?: 'folder' | 'file' | 'open' | 'truncate' | 'write' | 'flush' | 'close'; readonly how?: () => never; readonly takes?: number } = {}) {
  const seen = { bytes: '', isOpen: false };
  const step = (name: typeof fail.at) => { if (fail.at === name) (fail.how ?? full)(); };
  const handle = {
    truncate: () => { step('truncate'); },
    write: (bytes: ArrayBuffer) => {
      step('write');
      const taken = new TextDecoder().decode(bytes).slice(0, fail.takes);
      seen.bytes += taken;
      return taken.length;
    },
    flush: () => { step('flush'); },
    close: () => {
      seen.isOpen = false;
      step('close');
    },
  };
  const file = {
    createSyncAccessHandle: () => {
      step('open');
      seen.isOpen = true;
      return Promise.resolve(handle);
    },
  };
  const folder = { getFileHandle: () => { step('file'); return Promise.resolve(file); } };
  const root = { getDirectoryHandle: () => { step('folder'); return Promise.resolve(folder); } };
  return { seen, root: root as unknown as FileSystemDirectoryHandle };
}

describe('writing a kept clip', () => {
  test('all bytes arrive and the file is closed', async () => {
    const { root, seen } = fileSystem();
    expect(await writeClip(root, 'clips', 'a', CLIP)).toBe('written');
    expect(seen).toEqual({ bytes: '0123456789', isOpen: false });
  });

  test.each(['folder', 'file', 'open', 'truncate', 'write', 'flush', 'close'] as const)('no room at the step "%s" is an answer, not an error, and no file stays open', async (at) => {
    const { root, seen } = fileSystem({ at });
    expect(await writeClip(root, 'clips', 'a', CLIP)).toBe('full');
    expect(seen.isOpen).toBe(false);
  });

  test('a disk that takes 4 of 10 bytes is full', async () => {
    expect(await writeClip(fileSystem({ takes: 4 }).root, 'clips', 'a', CLIP)).toBe('full');
  });

  test('any other failure is thrown', async () => {
    const { root } = fileSystem({ at: 'write', how: () => { throw new DOMException('gone', 'InvalidStateError'); } });
    await expect(writeClip(root, 'clips', 'a', CLIP)).rejects.toThrow('gone');
  });
});
