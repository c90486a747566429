import { AnalysisBridge } from '../../src/bridge/analysis-bridge.ts';
import { believedMotion } from '../../src/clip/background-motion.ts';
import type { Analysis, Overrides } from '../../src/reading/reading.ts';
import { readClip } from '../../src/reading/read-clip.ts';
import type { Problem } from '../../src/units/outcome.ts';
import type { AnalysisRequest, Backend, Progress, Still } from '../../workers/contract.ts';
import type { MachineLimit } from '../../workers/machine-limit.ts';
import { clipRecord } from './clip-record.ts';
import type { ResultRecord } from './results-schema.ts';

/** A track as plain numbers, null where there is none. */
export interface PlainTrack {
  readonly times: readonly number[];
  readonly widthPx: number;
  readonly heightPx: number;
  readonly xy: readonly (number | null)[];
  readonly score: readonly (number | null)[];
  readonly sd: readonly (number | null)[];
  readonly model: string;
  readonly backend: string;
  /** How the still background moved, pixels a frame as in BackgroundMotion; null where it was not measured. */
  readonly background: { readonly xPx: readonly number[]; readonly yPx: readonly number[]; readonly turnRad: readonly number[] } | null;
}

/** What the batch and the browser tests ask of this page; files are those of the file field, by place. */
export interface MeasurePage {
  /** Measures a clip; the raw track comes too when asked for. */
  measure(
    index: number,
    request: AnalysisRequest,
    overrides: Overrides,
    withTrack: boolean,
  ): Promise<{ readonly record: ResultRecord; readonly track: PlainTrack | null; readonly profile: Analysis['profile'] | null }>;
  /** Starts an analysis, cancels it after `afterMs`; how long the answer took from there, milliseconds, and the problem. */
  cancel(index: number, request: AnalysisRequest, afterMs: number): Promise<{ readonly tookMs: number; readonly problem: Problem | null }>;
  /** Every progress report of one analysis with the time at which it came, milliseconds. */
  progress(index: number, request: AnalysisRequest): Promise<readonly (Progress & { readonly atMs: number })[]>;
  /** By what the full model runs on a backend, and how fast; null where it does not start. */
  limit(backend: Backend): Promise<MachineLimit | null>;
  /** Sizes, times and mean colours of the stills at the given times. */
  stills(
    index: number,
    times: readonly number[],
    maxWidthPx: number,
  ): Promise<{ readonly problem: Problem } | { readonly stills: readonly PlainStill[] }>;
}

/** What can be told of a still without its pixels: the mean colour of each quarter, clockwise from the top left. */
export interface PlainStill {
  readonly t: number;
  readonly width: number;
  readonly height: number;
  readonly quarters: readonly (readonly [number, number, number])[];
}

/** `?workers=1` fixes how many workers share a clip; left out, the machine decides as in the app. */
const asked = Number(new URLSearchParams(location.search).get('workers') ?? Number.NaN);
const bridge = asked >= 1 ? new AnalysisBridge(undefined, undefined, asked) : new AnalysisBridge();

function fileAt(index: number): File {
  const file = document.querySelector<HTMLInputElement>('#clips')?.files?.[index];
  if (file === undefined) throw new RangeError(`no file ${String(index)}`);
  return file;
}

const page: MeasurePage = {
  async measure(index, request, overrides, withTrack) {
    const file = fileAt(index);
    const started = performance.now();
    const outcome = await bridge.analyse(new AbortController().signal, file, request, () => undefined);
    if (!outcome.ok) return { record: { clip: file.name, ok: false, problem: outcome.problem }, track: null, profile: null };
    const analysis = outcome.value;
    const reading = readClip(analysis, overrides);
    return {
      record: clipRecord(file.name, analysis, reading, performance.now() - started),
      track: withTrack ? plainTrack(analysis) : null,
      profile: analysis.profile,
    };
  },

  async cancel(index, request, afterMs) {
    const controller = new AbortController();
    const answer = bridge.analyse(controller.signal, fileAt(index), request, () => undefined);
    await new Promise((resolve) => setTimeout(resolve, afterMs));
    const started = performance.now();
    controller.abort();
    const outcome = await answer;
    return { tookMs: performance.now() - started, problem: outcome.ok ? null : outcome.problem };
  },

  async progress(index, request) {
    const reports: (Progress & { readonly atMs: number })[] = [];
    await bridge.analyse(new AbortController().signal, fileAt(index), request, (progress) => {
      reports.push({ ...progress, atMs: performance.now() });
    });
    return reports;
  },

  async limit(backend) {
    const outcome = await bridge.limit(new AbortController().signal, backend);
    return outcome.ok ? outcome.value : null;
  },
  async stills(index, times, maxWidthPx) {
    const outcome = await bridge.stills(new AbortController().signal, fileAt(index), times, maxWidthPx);
    if (!outcome.ok) return { problem: outcome.problem };
    return { stills: outcome.value.map(plainStill) };
  },
};

function plainTrack({ track, quality }: Analysis): PlainTrack {
  const background = believedMotion(quality.background);
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
    background: background === null ? null : { xPx: [...background.xPx], yPx: [...background.yPx], turnRad: [...background.turnRad] },
  };
}

function plainStill({ t, bitmap }: Still): PlainStill {
  const { width, height } = bitmap;
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext('2d', { willReadFrequently: true });
  if (context === null) throw new TypeError('this browser gives no 2-D canvas');
  context.drawImage(bitmap, 0, 0);
  bitmap.close();
  const w = Math.floor(width / 2);
  const h = Math.floor(height / 2);
  const mean = (x: number, y: number): [number, number, number] => {
    const { data } = context.getImageData(x, y, w, h);
    const sum: [number, number, number] = [0, 0, 0];
    for (let i = 0; i < data.length; i += 4) {
      sum[0] += data[i] ?? 0;
      sum[1] += data[i + 1] ?? 0;
      sum[2] += data[i + 2] ?? 0;
    }
    const count = data.length / 4;
    return [sum[0] / count, sum[1] / count, sum[2] / count];
  };
  return { t, width, height, quarters: [mean(0, 0), mean(w, 0), mean(w, h), mean(0, h)] };
}

declare global {
  interface Window {
    lungelineMeasure?: MeasurePage;
  }
}
window.lungelineMeasure = page;
