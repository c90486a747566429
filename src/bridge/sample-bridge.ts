import { proxy, releaseProxy, wrap, type Remote } from 'comlink';
import type { AnalysisWorker } from '../../workers/contract.ts';
import type { Sample } from '../../workers/sample.ts';
import { failure, type Outcome } from '../units/outcome.ts';
import type { WorkerSource } from './analysis-bridge.ts';
import { Watchdog } from './watchdog.ts';

/** Longest silence of a running worker before it is given up, milliseconds: loading the models is the longest step. */
const STALL_MS = 30_000;

const BUILT_WORKER: WorkerSource = {
  start: () => new Worker(new URL('../../workers/analysis.worker.ts', import.meta.url), { type: 'module', name: 'sample' }),
};

/** The one door to a worker that looks at photos and first seconds before filming. It starts with the first look and ends with `close`. */
export class SampleBridge {
  readonly #source: WorkerSource;
  readonly #stallMs: number;
  #running: { readonly worker: Worker; readonly remote: Remote<AnalysisWorker> } | null = null;

  constructor(source: WorkerSource = BUILT_WORKER, stallMs: number = STALL_MS) {
    this.#source = source;
    this.#stallMs = stallMs;
  }

  /** Looks at one file, one at a time. Aborting ends it at once with the problem `cancelled`; a worker that dies or falls silent is given up. */
  look(signal: AbortSignal, file: File): Promise<Outcome<Sample>> {
    if (signal.aborted) return Promise.resolve(failure({ kind: 'cancelled' }));
    const { worker, remote } = this.#started();
    return new Promise((resolve, reject) => {
      const end = (last: () => void): void => {
        watchdog.stop();
        signal.removeEventListener('abort', onAbort);
        worker.removeEventListener('error', onDeath);
        last();
      };
      const giveUp = (outcome: Outcome<never>): void => {
        end(() => {
          this.close();
          resolve(outcome);
        });
      };
      const onAbort = (): void => { giveUp(failure({ kind: 'cancelled' })); };
      const onDeath = (): void => { giveUp(failure({ kind: 'analysis-stalled', stage: 'preparing' })); };
      const watchdog = new Watchdog(this.#stallMs, onDeath);
      signal.addEventListener('abort', onAbort);
      worker.addEventListener('error', onDeath);
      watchdog.feed();
      remote.sample(file, proxy(() => { watchdog.feed(); })).then(
        (outcome) => { end(() => { resolve(outcome); }); },
        (error: unknown) => { end(() => { reject(error instanceof Error ? error : new Error(String(error))); }); },
      );
    });
  }

  /** Ends the worker and frees its memory; the next look starts a new one. */
  close(): void {
    this.#running?.remote[releaseProxy]();
    this.#running?.worker.terminate();
    this.#running = null;
  }

  #started(): { readonly worker: Worker; readonly remote: Remote<AnalysisWorker> } {
    if (this.#running === null) {
      const worker = this.#source.start();
      this.#running = { worker, remote: wrap<AnalysisWorker>(worker) };
    }
    return this.#running;
  }
}
