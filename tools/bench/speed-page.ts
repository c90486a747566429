import { wrap, type Remote } from 'comlink';
import { AnalysisBridge } from '../../src/bridge/analysis-bridge.ts';
import { ReadingBridge } from '../../src/bridge/reading-bridge.ts';
import type { Analysis } from '../../src/reading/reading.ts';
import { DEFAULT_PROFILE } from '../../src/tolerances/index.ts';
import type { Progress } from '../../workers/contract.ts';
import type { MachineLimit } from '../../workers/machine-limit.ts';
import type { StockRun, StockWorker } from '../../workers/stock-path.worker.ts';

/** One run of our engine from the file to the cue. Milliseconds. */
export interface EngineRun {
  readonly clipS: number;
  readonly clipFrames: number;
  /** From the call to the finished reading: moments, measures, verdicts, cues. */
  readonly toCueMs: number;
  /** Of that, the reading, in a worker of its own. */
  readonly readMs: number;
  /** From the first decoding to the first joints of the athlete with their picture; null when none came. */
  readonly firstSeenMs: number | null;
  /** From the reading to the picture of the first key moment, with the workers idle. */
  readonly keyPictureMs: number;
  /** Tasks of the page's own thread of 50 ms and more. */
  readonly longTasksMs: readonly number[];
  /** How late the page's own thread came to a call due every 10 ms: blocked, or waiting for a processor. */
  readonly latenessMs: readonly number[];
  readonly profile: Analysis['profile'];
}

/** What the speed bench asks of this page. */
export interface SpeedPage {
  engine(): Promise<EngineRun>;
  stock(): Promise<StockRun>;
  limit(): Promise<MachineLimit>;
}

const BEAT_MS = 10;
/** `?workers=4` fixes how many workers share a clip; left out, the machine decides as in the app. */
const asked = Number(new URLSearchParams(location.search).get('workers') ?? Number.NaN);
const bridge = asked >= 1 ? new AnalysisBridge(undefined, undefined, asked) : new AnalysisBridge();
const reader = new ReadingBridge();
/** Held for the page's life: Comlink ends a worker's side once its proxy is collected. */
let stockRemote: Remote<StockWorker> | null = null;

function chosen(): File {
  const file = document.querySelector<HTMLInputElement>('#clips')?.files?.[0];
  if (file === undefined) throw new RangeError('no clip chosen');
  return file;
}

function stock(): Remote<StockWorker> {
  stockRemote ??= wrap<StockWorker>(new Worker(new URL('../../workers/stock-path.worker.ts', import.meta.url), { type: 'module', name: 'stock' }));
  return stockRemote;
}

/** Watches the page's own thread until it is ended. */
function watchThread(): () => Pick<EngineRun, 'longTasksMs' | 'latenessMs'> {
  const longTasksMs: number[] = [];
  const latenessMs: number[] = [];
  const observer = new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) longTasksMs.push(entry.duration);
  });
  observer.observe({ type: 'longtask' });
  let last = performance.now();
  const beat = setInterval(() => {
    const now = performance.now();
    latenessMs.push(Math.max(0, now - last - BEAT_MS));
    last = now;
  }, BEAT_MS);
  return () => {
    clearInterval(beat);
    observer.disconnect();
    return { longTasksMs, latenessMs };
  };
}

const page: SpeedPage = {
  async engine() {
    const endWatch = watchThread();
    let decodingAt: number | null = null;
    let firstSeenMs: number | null = null;
    const onProgress = (progress: Progress): void => {
      if (progress.stage === 'finding') decodingAt ??= performance.now();
      if (progress.glimpse?.xy != null && decodingAt !== null) firstSeenMs ??= performance.now() - decodingAt;
    };
    const started = performance.now();
    const signal = new AbortController().signal;
    const outcome = await bridge.analyse(signal, chosen(), { trim: null, athleteAt: null, model: 'full', backend: 'wasm' }, onProgress);
    if (!outcome.ok) throw new Error(outcome.problem.kind);
    const analysed = performance.now();
    const { moments } = await reader.read(outcome.value, {}, DEFAULT_PROFILE);
    const done = performance.now();
    const moment = Object.values(moments).find((each) => each.found);
    const stills = await bridge.stills(signal, chosen(), [moment?.found === true ? moment.t : 0], 320);
    if (!stills.ok) throw new Error(stills.problem.kind);
    for (const still of stills.value) still.bitmap.close();
    return {
      clipS: outcome.value.clip.durationS,
      clipFrames: outcome.value.clip.frameCount,
      toCueMs: done - started,
      readMs: done - analysed,
      firstSeenMs,
      keyPictureMs: performance.now() - done,
      ...endWatch(),
      profile: outcome.value.profile,
    };
  },
  stock: () => stock().run(chosen()),
  limit: () => stock().limit(),
};

declare global {
  interface Window {
    lungelineSpeed?: SpeedPage;
  }
}
window.lungelineSpeed = page;
