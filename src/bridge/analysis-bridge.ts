import { proxy, releaseProxy, wrap, type Remote } from 'comlink';
import type { AnalysisRequest, AnalysisWorker, Progress, Stage, Still } from '../../workers/contract.ts';
import type { ClipInfo } from '../clip/clip-info.ts';
import type { Analysis } from '../reading/reading.ts';
import { failure, type Outcome } from '../units/outcome.ts';
import { Watchdog } from './watchdog.ts';

/** Longest silence of a running worker before it is given up, milliseconds. */
const STALL_MS = 20_000;

/** Where a worker comes from; tests put their own here. */
export interface WorkerSource {
  start(): Worker;
}

const BUILT_WORKER: WorkerSource = {
  start: () => new Worker(new URL('../../workers/analysis.worker.ts', import.meta.url), { type: 'module', name: 'analysis' }),
};

/**
 * The one door to the analysis worker: starts it when first needed, runs calls one after another, and ends a call by
 * ending the worker. The next call starts a new one.
 */
export class AnalysisBridge {
  readonly #source: WorkerSource;
  readonly #stallMs: number;
  #running: { readonly worker: Worker; readonly remote: Remote<AnalysisWorker> } | null = null;
  #queue: Promise<unknown> = Promise.resolve();

  /** `stallMs` is the longest silence before a call is given up, milliseconds. */
  constructor(source: WorkerSource = BUILT_WORKER, stallMs: number = STALL_MS) {
    this.#source = source;
    this.#stallMs = stallMs;
  }

  /** Facts of a clip from its container; the problem when it cannot be read here. */
  inspect(signal: AbortSignal, file: File): Promise<Outcome<ClipInfo>> {
    return this.#call(signal, 'reading', (remote) => remote.inspect(file));
  }

  /** Finds and follows the athlete. Aborting ends it within 0.3 s with the problem `cancelled`. */
  analyse(
    signal: AbortSignal,
    file: File,
    request: AnalysisRequest,
    onProgress: (progress: Progress) => void,
  ): Promise<Outcome<Analysis>> {
    return this.#call(signal, 'reading', (remote, alive) =>
      remote.analyse(
        file,
        request,
        proxy((progress: Progress) => {
          if (signal.aborted) return;
          alive(progress.stage);
          onProgress(progress);
        }),
      ),
    );
  }

  /** Exact decoded frames nearest to the given clip seconds, at most `maxWidthPx` wide, in the order asked. */
  stills(signal: AbortSignal, file: File, times: readonly number[], maxWidthPx: number): Promise<Outcome<readonly Still[]>> {
    return this.#call(signal, 'reading', (remote) => remote.stills(file, times, maxWidthPx));
  }

  /** Ends the worker and frees its memory; the next call starts a new one. */
  close(): void {
    this.#running?.remote[releaseProxy]();
    this.#running?.worker.terminate();
    this.#running = null;
  }

  #call<T>(
    signal: AbortSignal,
    firstStage: Stage,
    run: (remote: Remote<AnalysisWorker>, alive: (stage: Stage) => void) => Promise<Outcome<T>>,
  ): Promise<Outcome<T>> {
    const result = this.#queue.then(() => this.#runAlone(signal, firstStage, run));
    // The queue goes on whatever becomes of this call; its own promise carries the error to the caller.
    this.#queue = result.catch(() => undefined);
    return endedBy(signal, result);
  }

  async #runAlone<T>(
    signal: AbortSignal,
    firstStage: Stage,
    run: (remote: Remote<AnalysisWorker>, alive: (stage: Stage) => void) => Promise<Outcome<T>>,
  ): Promise<Outcome<T>> {
    if (signal.aborted) return failure({ kind: 'cancelled' });
    const { worker, remote } = this.#start();
    return new Promise<Outcome<T>>((resolve, reject) => {
      let stage = firstStage;
      const watchdog = new Watchdog(this.#stallMs, () => {
        end(() => {
          this.close();
          resolve(failure({ kind: 'analysis-stalled', stage }));
        });
      });
      const onAbort = (): void => {
        end(() => {
          this.close();
          resolve(failure({ kind: 'cancelled' }));
        });
      };
      // A worker that fails to load, or dies, answers nothing: only its error event tells.
      const onDeath = (): void => {
        end(() => {
          this.close();
          resolve(failure({ kind: 'analysis-stalled', stage }));
        });
      };
      let ended = false;
      const end = (last: () => void): void => {
        if (ended) return;
        ended = true;
        watchdog.stop();
        signal.removeEventListener('abort', onAbort);
        worker.removeEventListener('error', onDeath);
        last();
      };
      signal.addEventListener('abort', onAbort);
      worker.addEventListener('error', onDeath);
      watchdog.feed();
      run(remote, (now) => {
        stage = now;
        watchdog.feed();
      }).then(
        (outcome) => {
          end(() => {
            resolve(outcome);
          });
        },
        (error: unknown) => {
          end(() => {
            this.close();
            reject(error instanceof Error ? error : new Error(String(error)));
          });
        },
      );
    });
  }

  #start(): { readonly worker: Worker; readonly remote: Remote<AnalysisWorker> } {
    if (this.#running === null) {
      const worker = this.#source.start();
      this.#running = { worker, remote: wrap<AnalysisWorker>(worker) };
    }
    return this.#running;
  }
}

/** A call that still waits in the queue ends at once when it is aborted. */
function endedBy<T>(signal: AbortSignal, result: Promise<Outcome<T>>): Promise<Outcome<T>> {
  if (signal.aborted) return Promise.resolve(failure({ kind: 'cancelled' }));
  return new Promise((resolve, reject) => {
    const onAbort = (): void => {
      resolve(failure({ kind: 'cancelled' }));
    };
    signal.addEventListener('abort', onAbort, { once: true });
    result.then(resolve, reject).finally(() => {
      signal.removeEventListener('abort', onAbort);
    });
  });
}
