import type { ClipInfo } from '../src/clip/clip-info.ts';
import type { Outcome } from '../src/units/outcome.ts';
import type { Sample } from './sample.ts';
import type { Probe } from './link-people.ts';
import type { MachineLimit } from './machine-limit.ts';

/** Where the pose models run: on the graphics card in one of two ways, or on the processor. */
export type Backend = 'webgpu' | 'webgl' | 'wasm';

/** Stages of an analysis in the order in which they run. */
export type Stage = 'reading' | 'preparing' | 'finding' | 'measuring';

/** The athlete as seen while the work runs: a square of the picture and, once they are read, the joints in it. */
export interface Glimpse {
  readonly t: number;
  readonly sidePx: number;
  /** side × side × 4. */
  readonly rgba: Uint8ClampedArray<ArrayBuffer>;
  /** 33 × 2, pixels of the square; null where the joints of the person found could not be read. */
  readonly xy: Float32Array | null;
}

/** How far an analysis has come. */
export interface Progress {
  readonly stage: Stage;
  /** 0 to 1 over the whole job. */
  readonly fraction: number;
  /** Estimated seconds left, null until known. */
  readonly secondsLeft: number | null;
  /** Only in reports that bring a new one. */
  readonly glimpse?: Glimpse;
}

/** What to analyse in a clip. */
export interface AnalysisRequest {
  /** Part of the clip in seconds; null lets the tool propose where the start is. */
  readonly trim: { readonly fromS: number; readonly toS: number } | null;
  /** A point on the athlete (display pixels) in the frame at `t`; null lets the tool choose the person who travels. */
  readonly athleteAt: { readonly t: number; readonly x: number; readonly y: number } | null;
  readonly model: 'lite' | 'full' | 'heavy';
  /** Null picks the fastest correct backend. */
  readonly backend: Backend | null;
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

/** A clip opened for an analysis, before anybody is looked for. */
export interface Opened {
  readonly clip: ClipInfo;
  /** Clip seconds of the shown frames, strictly increasing. */
  readonly times: Float64Array;
  /** Shown frames that can be decoded without any other, ascending. */
  readonly keyFrames: readonly number[];
}

/** Who is in the frames that were looked at. */
export interface Looked {
  /** One a frame, in order of time. */
  readonly probes: readonly Probe[];
  /** Clip seconds at which the decoder gave up, null when every frame came. */
  readonly failedAtS: number | null;
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

/** Which models look at a clip, and where they run. */
export interface LookModels {
  readonly model: AnalysisRequest['model'];
  readonly backend: Backend;
}

/** Frames in which to look for people. */
export interface LookTask extends LookModels {
  /** Shown frames, ascending. */
  readonly frames: readonly number[];
  /** Whether the first person found is shown, with the joints as a measurement that began there would read them. */
  readonly isShown: boolean;
}

/** Regions that a run gave in its first frames. */
export interface RunStart {
  /** Shown frames, ascending. */
  readonly frames: Int32Array;
  /** frames × 4, as in Followed. */
  readonly regions: Float64Array;
}

/** What is heard of a run while it is followed. */
export interface FollowEvents {
  /** How many frames are done, at most about 12 times a second, now and then with a glimpse where they are shown. */
  onFrames(done: number, glimpse: Glimpse | null): void;
  /** Once, when a run that began from the path has settled. */
  onSettled(start: RunStart): void;
}

/** A run of frames in which to follow the athlete. */
export interface FollowTask extends LookModels {
  readonly athlete: PersonPath;
  /** Shown frames to measure, ascending, at least one. */
  readonly frames: Int32Array;
  /** Where the frames before this run left the tracker; null starts from the path. */
  readonly start: TrackerState | null;
  /** A shown frame in which the tracker begins anew from the path, as long as it finds the same person there; null for none. */
  readonly anewAt: number | null;
  /** A start from the path needs this many frames to settle: the hands are looked for from there on. */
  readonly settleFrames: number;
  /** Ends soon after the athlete is on the hands. */
  readonly endAfterHands: boolean;
  /** Whether glimpses of it are shown. */
  readonly isShown: boolean;
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
  /** frames × 3: how the still background moved since the last frame in which it was found (x, y, turn as in Motion, display pixels about their origin); NaN where it was not looked at or could not be told, no motion in the first frame of a run. */
  readonly backgroundSteps: Float64Array;
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
  /** Opens the clip and lists its frames. */
  open(clipId: number, file: File): Promise<Outcome<Opened>>;
  /** Loads the models on the backend asked for, or with null on the fastest correct one; answers which. They stay loaded. */
  prepare(model: AnalysisRequest['model'], backend: AnalysisRequest['backend']): Promise<Outcome<Backend>>;
  /** Looks for people in some frames of a clip, after `prepare` of these models; `onLook` hears after every one. */
  look(clipId: number, file: File, task: LookTask, onLook: (glimpse: Glimpse | null) => void): Promise<Outcome<Looked>>;
  /** Follows the athlete through a run of frames. */
  follow(clipId: number, file: File, task: FollowTask, events: FollowEvents): Promise<Outcome<Followed>>;
  /** Ends a `follow` that is under way as soon as it agrees with a run that began in its last frames: what that one holds is the same from there on. */
  stopWhereAgreeing(next: RunStart): void;
  /** Ends a `follow` that is under way after its current frame; it answers with what it has. */
  stopFollowing(): void;
  /** What one frame asks of this machine and what it could give. */
  limit(backend: Backend): Promise<MachineLimit>;
  /** Exact decoded frames nearest to the given clip seconds, at most `maxWidthPx` wide, in the order asked. */
  stills(file: File, times: readonly number[], maxWidthPx: number): Promise<Outcome<readonly Still[]>>;
  /** Looks at a photo, or at the first second of a clip, before filming; nothing of it is kept. `onAlive` hears after every step. */
  sample(file: File, onAlive: () => void): Promise<Outcome<Sample>>;
}
