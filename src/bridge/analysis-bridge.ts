import { proxy, releaseProxy, wrap, type Remote } from 'comlink';
import type { AnalysisRequest, AnalysisWorker, Followed, FollowTask, Found, Progress, Stage, Still } from '../../workers/contract.ts';
import { ProgressMeter } from '../../workers/progress-meter.ts';
import type { ClipInfo } from '../clip/clip-info.ts';
import type { Analysis } from '../reading/reading.ts';
import { failure, type Outcome } from '../units/outcome.ts';
import { divideFrames, isComplete, joinRun, mergeFollowed, OVERLAP_FRAMES, stateAtEnd, type Joined } from './merge-followed.ts';
import { poolSize } from './pool-size.ts';
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

/** One worker and the way to call it. */
interface Helper {
  readonly worker: Worker;
  readonly remote: Remote<AnalysisWorker>;
}

/** Called whenever a worker shows that it is alive. */
type Alive = (stage: Stage) => void;

/**
 * The one door to the analysis workers: starts them when first needed, runs calls one after another, and ends a call by
 * ending the workers. The next call starts new ones. One worker searches; several share the frames that must be followed.
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
      const outcome = await this.#analyse(file, request, tell);
      const isCardLost = !outcome.ok && outcome.problem.kind === 'backend-unavailable' && request.backend === null;
      // Never two backends in one measurement: the clip is measured again, whole.
      return isCardLost ? this.#analyse(file, { ...request, backend: 'wasm' }, tell) : outcome;
    });
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

  async #analyse(file: File, request: AnalysisRequest, tell: (progress: Progress) => void): Promise<Outcome<Analysis>> {
    const started = performance.now();
    this.#clipId += 1;
    const clipId = this.#clipId;
    const onReady = (backend: 'webgl' | 'wasm'): void => {
      if (backend === 'webgl') return;
      for (let i = 1; i < this.#poolSize; i += 1) void this.#helper(i).remote.warmUp(request.model, backend);
    };
    const search = await this.#helper(0).remote.find(clipId, file, request, proxy(tell), proxy(onReady));
    if (!search.ok) return search;
    const found = search.value;
    // One graphics card gains nothing from several workers.
    const runs = divideFrames(found.frames.from, found.frames.to, found.backend === 'webgl' ? 1 : this.#poolSize);
    const meter = new ProgressMeter(tell);
    meter.enter('measuring');
    const done = runs.map(() => 0);
    const total = found.frames.to - found.frames.from;
    const followed: (Outcome<Followed> | undefined)[] = runs.map(() => undefined);
    await Promise.all(
      runs.map(async (run, i) => {
        followed[i] = await this.#follow(clipId, file, found, request, { ...run, start: null, settleFrames: i === 0 ? 0 : OVERLAP_FRAMES }, i, (count) => {
          done[i] = count;
          meter.at(done.reduce((sum, one) => sum + one, 0) / total);
        });
        // The frames after the hands are not needed: whoever still follows them may stop.
        if (isComplete(joinAll(runs, followed).joined, found.part.proposed)) {
          runs.forEach((_, late) => {
            if (followed[late] === undefined) void this.#helper(late).remote.stopFollowing();
          });
        }
      }),
    );
    const failed = followed.find((outcome) => outcome?.ok === false);
    if (failed?.ok === false) return failed;
    let { joined, next } = joinAll(runs, followed);
    while (next < runs.length && !isComplete(joined, found.part.proposed)) {
      // This run began on a region that does not agree with what came before: it is followed again from there.
      const run = runs[next];
      if (run === undefined) break;
      const again = await this.#follow(
        clipId, file, found, request,
        { from: joined.end, to: run.to, start: stateAtEnd(joined), settleFrames: 0 },
        0, () => {
          tell({ stage: 'measuring', fraction: 0.99, secondsLeft: null });
        },
      );
      if (!again.ok) return again;
      joined = { runs: [...joined.runs, again.value], end: joined.end + again.value.times.length };
      ({ joined, next } = joinAll(runs, followed, joined, next + 1));
    }
    return mergeFollowed(found, joined.runs, performance.now() - started, runs.length);
  }

  #follow(
    clipId: number,
    file: File,
    found: Found,
    request: AnalysisRequest,
    run: Pick<FollowTask, 'from' | 'to' | 'start' | 'settleFrames'>,
    helper: number,
    onFrames: (done: number) => void,
  ): Promise<Outcome<Followed>> {
    const task = {
      athlete: found.athlete,
      model: request.model,
      backend: found.backend,
      ...run,
      endAfterHands: found.part.proposed,
    };
    return this.#helper(helper).remote.follow(clipId, file, task, proxy(onFrames));
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
      this.#helpers.push({ worker, remote: wrap<AnalysisWorker>(worker) });
    }
    const helper = this.#helpers[index];
    if (helper === undefined) throw new RangeError(`no worker ${index}`);
    return helper;
  }
}

/** Joins runs in order as far as they are there and agree; `next` is the first that is not joined. */
function joinAll(
  runs: readonly { readonly from: number }[],
  followed: readonly (Outcome<Followed> | undefined)[],
  soFar: Joined = { runs: [], end: runs[0]?.from ?? 0 },
  first = 0,
): { readonly joined: Joined; readonly next: number } {
  let joined = soFar;
  for (let i = first; i < runs.length; i += 1) {
    const outcome = followed[i];
    const run = runs[i];
    if (outcome?.ok !== true || run === undefined) return { joined, next: i };
    const longer = joinRun(joined, outcome.value, run.from);
    if (longer === null) return { joined, next: i };
    joined = longer;
  }
  return { joined, next: runs.length };
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
