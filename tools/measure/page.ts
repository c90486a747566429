import { AnalysisBridge } from '../../src/bridge/analysis-bridge.ts';
import type { PoseTrack } from '../../src/pose/pose-track.ts';
import type { AnalysisRequest } from '../../workers/contract.ts';

/** What the batch asks of this page. */
export interface MeasurePage {
  /** Analyses the n-th file of the file field. */
  measure(index: number, request: AnalysisRequest): Promise<unknown>;
}

const bridge = new AnalysisBridge();

const page: MeasurePage = {
  async measure(index, request) {
    const field = document.querySelector<HTMLInputElement>('#clips');
    const file = field?.files?.[index];
    if (file === undefined) throw new RangeError(`no file ${String(index)}`);
    const outcome = await bridge.analyse(new AbortController().signal, file, request, () => undefined);
    if (!outcome.ok) return outcome;
    const { track, ...rest } = outcome.value;
    return { ok: true, value: { ...rest, track: plainTrack(track) } };
  },
};

/** A track as plain numbers with two decimals, null for NaN. */
function plainTrack(track: PoseTrack): unknown {
  const plain = (values: Iterable<number>): (number | null)[] =>
    [...values].map((value) => (Number.isNaN(value) ? null : Math.round(value * 100) / 100));
  return {
    times: [...track.times],
    widthPx: track.widthPx,
    heightPx: track.heightPx,
    xy: plain(track.xy),
    score: plain(track.score),
    sd: plain(track.sd),
    model: track.model,
    backend: track.backend,
  };
}

declare global {
  interface Window {
    lungelineMeasure?: MeasurePage;
  }
}
window.lungelineMeasure = page;
