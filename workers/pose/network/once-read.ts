import type { io } from '@tensorflow/tfjs-core';

/** A handler of a model's files, and the call that lets go of their bytes. */
export interface OnceRead {
  readonly handler: io.IOHandler;
  /** Call it once the model stands: its weights are tensors by then, and the library would keep the file's bytes as long as the model. */
  forget(): void;
}

/** Wraps a handler so that the bytes it read can be let go of: some 6 to 9 MiB a model and worker. */
export function onceRead(handler: io.IOHandler): OnceRead {
  let read: io.ModelArtifacts | null = null;
  return {
    handler: {
      async load() {
        if (handler.load === undefined) throw new TypeError('a handler that loads');
        read = await handler.load();
        return read;
      },
    },
    forget() {
      if (read !== null) read.weightData = new ArrayBuffer(0);
      read = null;
    },
  };
}
