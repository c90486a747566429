import '../../src/state/quiet-zod.ts';
import { wrap, type Remote } from 'comlink';
import { AnalysisBridge } from '../../src/bridge/analysis-bridge.ts';
import { readClip } from '../../src/reading/read-clip.ts';
import type { Analysis } from '../../src/reading/reading.ts';
import type { ComputeFacts, StockRun, StockWorker } from '../../workers/stock-path.worker.ts';

/** One run of our engine from the file to the cue. */
export interface EngineRun {
  readonly frames: number;
  /** From the call to the finished reading, milliseconds. */
  readonly toCueMs: number;
  /** Of that, the reading on the page's own thread: moments, measures, verdicts, cues. */
  readonly readMs: number;
  /** From asking for the first key picture to having it, with the worker idle. */
  readonly stillMs: number;
  /** Longest task of the page's own thread while it ran, 0 when none reached 50 ms. */
  readonly longestTaskMs: number;
  readonly profile: Analysis['profile'];
}

/** What the speed bench asks of this page. */
export interface SpeedPage {
  engine(): Promise<EngineRun>;
  stock(): Promise<StockRun>;
  facts(): Promise<ComputeFacts>;
}

const bridge = new AnalysisBridge();
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

const page: SpeedPage = {
  async engine() {
    let longestTaskMs = 0;
    const observer = new PerformanceObserver((list) => {
      for (const entry of list.getEntries()) longestTaskMs = Math.max(longestTaskMs, entry.duration);
    });
    observer.observe({ type: 'longtask' });
    const started = performance.now();
    const signal = new AbortController().signal;
    const outcome = await bridge.analyse(signal, chosen(), { trim: null, athleteAt: null, model: 'full', backend: 'wasm' }, () => undefined);
    if (!outcome.ok) throw new Error(outcome.problem.kind);
    const analysed = performance.now();
    const reading = readClip(outcome.value);
    const done = performance.now();
    const { plant } = reading.moments;
    const stills = await bridge.stills(signal, chosen(), [plant.found ? plant.t : 0], 320);
    if (!stills.ok) throw new Error(stills.problem.kind);
    for (const still of stills.value) still.bitmap.close();
    const shown = performance.now();
    observer.disconnect();
    return {
      frames: outcome.value.track.times.length,
      toCueMs: done - started,
      readMs: done - analysed,
      stillMs: shown - done,
      longestTaskMs,
      profile: outcome.value.profile,
    };
  },
  stock: () => stock().run(chosen()),
  facts: () => stock().facts(),
};

declare global {
  interface Window {
    lungelineSpeed?: SpeedPage;
  }
}
window.lungelineSpeed = page;
