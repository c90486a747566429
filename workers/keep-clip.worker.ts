import type { ClipFolder } from '../src/storage/clip-files.ts';
import { writeClip } from './write-clip.ts';

self.onmessage = (event: MessageEvent<{ readonly folder: ClipFolder; readonly name: string; readonly clip: Blob }>) => {
  const { folder, name, clip } = event.data;
  navigator.storage.getDirectory().then((root) => writeClip(root, folder, name, clip)).then(
    (answer) => { self.postMessage(answer); },
    (broken: unknown) => {
      // An error inside a promise would never reach the page; thrown from a task it does.
      setTimeout(() => { throw broken; });
    },
  );
};
