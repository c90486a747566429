import { releaseProxy, wrap, type Remote } from 'comlink';
import type { AnalysisRequest, AnalysisWorker, Backend, Progress, Stage, Still } from '../../workers/contract.ts';
import type { MachineLimit } from '../../workers/machine-limit.ts';
import type { ClipInfo } from '../clip/clip-info.ts';
import type { Analysis } from '../reading/reading.ts';
import { failure, success, type Outcome } from '../units/outcome.ts';
import { measureClip, type Team } from './measure-clip.ts';
import { poolSize, workersFor } from './pool-size.ts';
import { Watchdog } from './watchdog.ts';

/** Longest silence of a running worker before it is given up, milliseconds (chosen: a slow graphics driver compiles a model for ten seconds and more). */
const STALL_MS = 40_000;

/** Where a worker comes from; tests put their own here. */
export interface WorkerSource {
  start(): Worker;
}

const BUILT_WORKER: WorkerSource = {
  start: () => new Worker(new URL('../../workers/analysis.worker.ts', import.meta.url), { type: 'module', name: 'analysis' }),
};

/** One worker and the way to call it. */
interface Helper {
  readonly worker: Worker;
  readonly remote: Remote<AnalysisWorker>;
  /** Which models it holds, as model size and backend; null before the first are loaded. */
  loaded: string | null;
  /** Which ones it is loading ahead of its first work. */
  loading: string | null;
}

/** Called whenever a worker shows that it is alive. */
type Alive = (stage: Stage) => void;

/**
 * The one door to the analysis workers: starts them when first needed, runs calls one after another, and ends a call by
 * ending the workers. The next call starts new ones. Several share the frames of a clip.
 */
export class AnalysisBridge {
  readonly #source: WorkerSource;
  readonly #stallMs: number;
  readonly #poolSize: number;
  #helpers: Helper[] = [];
  #queue: Promise<unknown> = Promise.resolve();
  #clipId = 0;

  /** `stallMs` is the longest silence before a call is given up, milliseconds; `pool` how many workers may share the frames. */
  constructor(source: WorkerSource = BUILT_WORKER, stallMs: number = STALL_MS, pool: number = typeof navigator === 'undefined' ? 1 : poolSize(navigator)) {
    this.#source = source;
    this.#stallMs = stallMs;
    this.#poolSize = pool;
  }

  /**
   * Loads the models ahead of the first clip, in every worker, and settles where they run. A clip that comes meanwhile begins
   * once the first worker has them; cancelling it leaves the loading alone.
   */
  warmUp(model: AnalysisRequest['model']): void {
    // Whatever fails here fails again, and is told, when a clip is measured.
    this.#call(new AbortController().signal, async () => {
      const prepared = await this.#helper(0).remote.prepare(model, null);
      if (prepared.ok) this.#readyFor(model, prepared.value);
      return prepared;
    }).catch(() => undefined);
  }

  /** Facts of a clip from its container; the problem when it cannot be read here. */
  inspect(signal: AbortSignal, file: File): Promise<Outcome<ClipInfo>> {
    return this.#call(signal, () => this.#helper(0).remote.inspect(file));
  }

  /** Finds and follows the athlete. Aborting ends it within 0.3 s with the problem `cancelled`. */
  analyse(
    signal: AbortSignal,
    file: File,
    request: AnalysisRequest,
    onProgress: (progress: Progress) => void,
  ): Promise<Outcome<Analysis>> {
    return this.#call(signal, async (alive) => {
      const tell = (progress: Progress): void => {
        if (signal.aborted) return;
        alive(progress.stage);
        onProgress(progress);
      };
      const outcome = await this.#measure(file, request, tell);
      const isCardLost = !outcome.ok && outcome.problem.kind === 'backend-unavailable' && request.backend === null;
      // Never two backends in one measurement: the clip is measured again, whole.
      return isCardLost ? this.#measure(file, { ...request, backend: 'wasm' }, tell) : outcome;
    });
  }

  /** What one frame asks of this machine and what it could give, one worker alone; waits for what is being measured. */
  limit(signal: AbortSignal, backend: Backend): Promise<Outcome<MachineLimit>> {
    return this.#call(signal, async () => success(await this.#helper(0).remote.limit(backend)));
  }

  /** Exact decoded frames nearest to the given clip seconds, at most `maxWidthPx` wide, in the order asked. */
  stills(signal: AbortSignal, file: File, times: readonly number[], maxWidthPx: number): Promise<Outcome<readonly Still[]>> {
    return this.#call(signal, () => this.#helper(0).remote.stills(file, times, maxWidthPx));
  }

  /** Ends the workers and frees their memory; the next call starts new ones. */
  close(): void {
    for (const { remote, worker } of this.#helpers) {
      remote[releaseProxy]();
      worker.terminate();
    }
    this.#helpers = [];
  }

  #measure(file: File, request: AnalysisRequest, tell: (progress: Progress) => void): Promise<Outcome<Analysis>> {
    this.#clipId += 1;
    const team: Team = {
      size: this.#poolSize,
      worker: (index) => this.#helper(index).remote,
      readyFor: (model, backend) => this.#readyFor(model, backend),
    };
    return measureClip(team, this.#clipId, file, request, tell);
  }

  /** Asks every worker after the first to load the models, and counts those that already have, without a gap. */
  #readyFor(model: AnalysisRequest['model'], backend: Backend): number {
    const wanted = `${model} ${backend}`;
    let ready = 1;
    for (let i = 1; i < workersFor(backend, this.#poolSize); i += 1) {
      const helper = this.#helper(i);
      if (helper.loaded === wanted) {
        if (ready === i) ready += 1;
        continue;
      }
      if (helper.loading === wanted) continue;
      helper.loading = wanted;
      // A failure shows again, as a value, when the work itself begins.
      void helper.remote.prepare(model, backend).then((outcome) => {
        helper.loading = null;
        if (outcome.ok) helper.loaded = wanted;
      });
    }
    return ready;
  }

  #call<T>(signal: AbortSignal, run: (alive: Alive) => Promise<Outcome<T>>): Promise<Outcome<T>> {
    const result = this.#queue.then(() => this.#runAlone(signal, run));
    // The queue goes on whatever becomes of this call; its own promise carries the error to the caller.
    this.#queue = result.catch(() => undefined);
    return endedBy(signal, result);
  }

  async #runAlone<T>(signal: AbortSignal, run: (alive: Alive) => Promise<Outcome<T>>): Promise<Outcome<T>> {
    if (signal.aborted) return failure({ kind: 'cancelled' });
    return new Promise<Outcome<T>>((resolve, reject) => {
      let stage: Stage = 'reading';
      let ended = false;
      const end = (last: () => void): void => {
        if (ended) return;
        ended = true;
        watchdog.stop();
        signal.removeEventListener('abort', onAbort);
        this.#onDeath = null;
        last();
      };
      const giveUp = (outcome: Outcome<never>): void => {
        end(() => {
          this.close();
          resolve(outcome);
        });
      };
      const watchdog = new Watchdog(this.#stallMs, () => {
        giveUp(failure({ kind: 'analysis-stalled', stage }));
      });
      const onAbort = (): void => {
        giveUp(failure({ kind: 'cancelled' }));
      };
      // A worker that fails to load, or dies, answers nothing: only its error event tells.
      this.#onDeath = () => {
        giveUp(failure({ kind: 'analysis-stalled', stage }));
      };
      signal.addEventListener('abort', onAbort);
      watchdog.feed();
      run((now) => {
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

  #onDeath: (() => void) | null = null;

  #helper(index: number): Helper {
    while (this.#helpers.length <= index) {
      const worker = this.#source.start();
      worker.addEventListener('error', () => this.#onDeath?.());
      this.#helpers.push({ worker, remote: wrap<AnalysisWorker>(worker), loaded: null, loading: null });
    }
    const helper = this.#helpers[index];
    if (helper === undefined) throw new RangeError(`no worker ${index}`);
    return helper;
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
