import type { ClipInfo } from '../src/clip/clip-info.ts';
import type { PersonSighting } from '../src/reading/reading.ts';
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

/** A person's box over time, display pixels at clip seconds. */
export interface PersonPath {
  readonly sightings: readonly {
    readonly t: number;
    readonly box: { readonly x: number; readonly y: number; readonly width: number; readonly height: number };
    readonly score: number;
  }[];
}

/** What the search found in a clip: whom to follow, where, and on which backend. */
export interface Found {
  readonly clip: ClipInfo;
  readonly people: readonly PersonSighting[];
  readonly athlete: PersonPath;
  readonly part: { readonly fromS: number; readonly toS: number; readonly proposed: boolean };
  /** The shown frames of the part, `from` inclusive to `to` exclusive. */
  readonly frames: { readonly from: number; readonly to: number };
  readonly backend: 'webgl' | 'wasm';
  readonly engineVersion: string;
  readonly openMs: number;
  readonly prepareMs: number;
  readonly findMs: number;
}

/** A square region of the picture, display pixels and radians. */
export interface Region {
  readonly centreX: number;
  readonly centreY: number;
  readonly sidePx: number;
  readonly rotationRad: number;
}

/** All that the tracker remembers from frame to frame: where it saw the athlete in its last two readings. */
export interface TrackerState {
  readonly last: { readonly t: number; readonly crop: Region };
  readonly before: { readonly t: number; readonly crop: Region } | null;
}

/** A run of frames in which to follow the athlete. */
export interface FollowTask {
  readonly athlete: PersonPath;
  readonly model: AnalysisRequest['model'];
  readonly backend: 'webgl' | 'wasm';
  /** Shown frames, `from` inclusive to `to` exclusive. */
  readonly from: number;
  readonly to: number;
  /** Where the frames before this run left the tracker; null starts from the path. */
  readonly start: TrackerState | null;
  /** The hands are looked for from this many frames into the run on: a start from the path needs a few to settle. */
  readonly settleFrames: number;
  /** Ends one second after the athlete is on the hands. */
  readonly endAfterHands: boolean;
}

/** The athlete in a run of frames, arrays as in PoseTrack and one value a frame for the facts of the picture (NaN in a gap). */
export interface Followed {
  readonly times: Float64Array;
  readonly xy: Float32Array;
  readonly score: Float32Array;
  readonly sd: Float32Array;
  /** frames × 4: the region for the next frame (centre x, centre y, side, turn), NaN in a gap. */
  readonly regions: Float64Array;
  readonly heightPx: Float32Array;
  readonly brightness: Float32Array;
  readonly sharpness: Float32Array;
  /** How far the still background moved since the frame before, display pixels; NaN where it could not be told and in the first frame of a run. */
  readonly stepXPx: Float32Array;
  readonly stepYPx: Float32Array;
  /** Id of the model that measured every frame. */
  readonly modelId: string;
  /** Clip seconds at which the decoder gave up, null when every frame came. */
  readonly failedAtS: number | null;
  readonly decodeMs: number;
  readonly copyMs: number;
  readonly inferMs: number;
  readonly qualityMs: number;
}

/**
 * An analysis worker, called through Comlink. Only plain values cross. Cancel by terminating the worker.
 * A clip that is analysed is opened once under an id and kept open until another id comes.
 */
export interface AnalysisWorker {
  inspect(file: File): Promise<Outcome<ClipInfo>>;
  /** Loads what following needs, so that a second worker is ready when the search is done. */
  warmUp(model: AnalysisRequest['model'], backend: 'webgl' | 'wasm'): Promise<void>;
  /** Opens the clip, loads the models (`onReady` hears on which backend), looks for the athlete. */
  find(
    clipId: number,
    file: File,
    request: AnalysisRequest,
    onProgress: (progress: Progress) => void,
    onReady: (backend: 'webgl' | 'wasm') => void,
  ): Promise<Outcome<Found>>;
  /** Follows the athlete through a run of frames; `onFrames` hears how many are done, at most about 12 times a second. */
  follow(clipId: number, file: File, task: FollowTask, onFrames: (done: number) => void): Promise<Outcome<Followed>>;
  /** Ends a `follow` that is under way after its current frame; it answers with what it has. */
  stopFollowing(): void;
  /** Exact decoded frames nearest to the given clip seconds, at most `maxWidthPx` wide, in the order asked. */
  stills(file: File, times: readonly number[], maxWidthPx: number): Promise<Outcome<readonly Still[]>>;
}
