import { wrap, type Remote } from 'comlink';
import type { ReadingWorker } from '../../workers/reading.worker.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import { readClip, type Readable } from '../reading/read-clip.ts';
import type { Overrides, Reading } from '../reading/reading.ts';
import type { Profile } from '../tolerances/schema.ts';
import type { WorkerSource } from './analysis-bridge.ts';

const BUILT_WORKER: WorkerSource = {
  start: () => new Worker(new URL('../../workers/reading.worker.ts', import.meta.url), { type: 'module', name: 'reading' }),
};

/** Reads clips in a worker of its own, so that the page never waits for a reading. A track crosses once, not at every correction. */
export class ReadingBridge {
  readonly #source: WorkerSource;
  readonly #ids = new WeakMap<PoseTrack, number>();
  #worker: { readonly remote: Remote<ReadingWorker>; readonly death: Promise<null> } | null = null;
  #isDead = false;
  #lastId = 0;

  constructor(source: WorkerSource = BUILT_WORKER) {
    this.#source = source;
  }

  /** Starts the worker ahead of the first reading. */
  warmUp(): void {
    this.#started();
  }

  /** What `readClip` gives. A worker that cannot be started, or dies, is done without: the page then reads itself. */
  async read(clip: Readable, overrides: Overrides, profile: Profile): Promise<Reading> {
    if (this.#isDead) return readClip(clip, overrides, profile);
    const { remote, death } = this.#started();
    let id = this.#ids.get(clip.track);
    if (id !== undefined) {
      const again = await Promise.race([remote.read(id, null, overrides, profile), death]);
      if (again !== null) return again;
    }
    this.#lastId += 1;
    id = this.#lastId;
    this.#ids.set(clip.track, id);
    const first = await Promise.race([remote.read(id, clip, overrides, profile), death]);
    return first ?? readClip(clip, overrides, profile);
  }

  #started(): { readonly remote: Remote<ReadingWorker>; readonly death: Promise<null> } {
    if (this.#worker === null) {
      const worker = this.#source.start();
      const death = new Promise<null>((resolve) => {
        worker.addEventListener('error', () => {
          this.#isDead = true;
          resolve(null);
        });
      });
      this.#worker = { remote: wrap<ReadingWorker>(worker), death };
    }
    return this.#worker;
  }
}
