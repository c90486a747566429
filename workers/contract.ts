import type { ClipInfo } from '../src/clip/clip-info.ts';
import type { Analysis } from '../src/reading/reading.ts';
import type { Outcome } from '../src/units/outcome.ts';

/** Stages of an analysis in the order in which they run. */
export type Stage = 'reading' | 'preparing' | 'finding' | 'measuring';

/** How far an analysis has come. */
export interface Progress {
  readonly stage: Stage;
  /** 0 to 1 over the whole job. */
  readonly fraction: number;
  /** Estimated seconds left, null until known. */
  readonly secondsLeft: number | null;
}

/** What to analyse in a clip. */
export interface AnalysisRequest {
  /** Part of the clip in seconds; null lets the tool propose where the start is. */
  readonly trim: { readonly fromS: number; readonly toS: number } | null;
  /** A point on the athlete (display pixels) in the frame at `t`; null lets the tool choose the person who travels. */
  readonly athleteAt: { readonly t: number; readonly x: number; readonly y: number } | null;
  readonly model: 'lite' | 'full' | 'heavy';
  /** Null picks the fastest correct backend. */
  readonly backend: 'webgl' | 'wasm' | null;
}

/** A decoded frame as an encoded picture, for the strip of key moments. */
export interface Still {
  readonly t: number;
  readonly bitmap: ImageBitmap;
}

/** The analysis worker, called through Comlink. Only plain values cross. Cancel by terminating the worker. */
export interface AnalysisWorker {
  inspect(file: File): Promise<Outcome<ClipInfo>>;
  analyse(file: File, request: AnalysisRequest, onProgress: (progress: Progress) => void): Promise<Outcome<Analysis>>;
  /** Exact decoded frames nearest to the given clip seconds, at most `maxWidthPx` wide, in the order asked. */
  stills(file: File, times: readonly number[], maxWidthPx: number): Promise<Outcome<readonly Still[]>>;
}
