import type { CameraView } from '../camera/camera-view.ts';
import type { FloorTaps } from '../camera/floor-scale.ts';
import type { ClipInfo, TimeBase } from '../clip/clip-info.ts';
import type { PictureQuality } from '../clip/picture-quality.ts';
import type { Cue, Finding } from '../checker/finding.ts';
import type { FallCheck } from '../phases/fall-check.ts';
import type { MomentId, Moments, Step } from '../phases/moment.ts';
import type { PlacedJoint } from '../pose/place-joints.ts';
import type { HandSwap } from '../pose/swap-by-hand.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import type { LengthsM } from '../shapes/lengths-in-metres.ts';
import type { Measures } from '../shapes/measure.ts';
import type { Choice } from '../starts/choice.ts';
import type { TimeBasis } from './settle-time-base.ts';
import type { Direction, Side, StartId } from '../starts/start.ts';

/** What the user stated about a rep; everything left out is proposed from the track. */
export interface Overrides {
  readonly start?: StartId;
  readonly lead?: Side;
  readonly direction?: Direction;
  /** Moments placed by the user, in clip seconds. */
  readonly moments?: Readonly<Partial<Record<MomentId, number>>>;
  readonly timeBase?: TimeBase;
  /** Joints that the user placed on a picture; never overwritten by a new run. */
  readonly joints?: readonly PlacedJoint[];
  /** Stretches in which the user told left from right, in the order in which they were said; never overwritten by a new run. */
  readonly swaps?: readonly HandSwap[];
  /** Standing height of the athlete in metres: the simple scale. */
  readonly heightM?: number;
  /** Two marks or a mat's corners tapped on the floor: the better scale. */
  readonly floor?: FloorTaps;
}

/** Everything Lungeline says about one rep; recomputed at once from the track when an override changes. */
export interface Reading {
  readonly start: Choice<StartId>;
  readonly lead: Choice<Side>;
  readonly direction: Choice<Direction>;
  readonly timeBase: TimeBase;
  /** On what the time base rests; 'none' while it is only assumed. */
  readonly timeBasis: TimeBasis;
  /** What the fall of the body says of the clip's speed; null without a flight. */
  readonly fall: FallCheck | null;
  /** Thigh + shank of the athlete in pixels, robust over the clip. */
  readonly legLengthPx: number;
  /** Metres per pixel in the plane of travel at the middle of the picture, null without a scale. */
  readonly metresPerPixel: number | null;
  /** How the camera stood; its yaw and roll are undone in the measures. */
  readonly camera: CameraView;
  /** The measures in leg lengths once more, in metres; empty without a scale. */
  readonly lengthsM: LengthsM;
  readonly moments: Moments;
  readonly steps: readonly Step[];
  readonly measures: Measures;
  readonly findings: readonly Finding[];
  /** Leading cue first. */
  readonly cues: readonly Cue[];
  /** The repaired and smoothed track that the measures and the overlay use. */
  readonly track: PoseTrack;
  /** The row of the floor in pixels under the plant, for drawing. */
  readonly floorYPx: number;
}

/** What the worker hands back for one clip. */
export interface Analysis {
  readonly clip: ClipInfo;
  /** Raw track: landmarks as the model gave them, no repair and no smoothing. */
  readonly track: PoseTrack;
  /** The other people seen while looking for the athlete, boxes in display pixels at clip seconds. */
  readonly people: readonly PersonSighting[];
  /** The part of the clip that was measured, clip seconds; `proposed` when the tool chose it. */
  readonly part: { readonly fromS: number; readonly toS: number; readonly proposed: boolean };
  /** Clip seconds at which the decoder gave up for good, null when every frame of the part was decoded. */
  readonly stoppedAtS: number | null;
  readonly quality: PictureQuality;
  /** Where the time went, milliseconds of the worker. */
  readonly profile: AnalysisProfile;
  readonly engineVersion: string;
}

/** Milliseconds spent in each step of an analysis. */
export interface AnalysisProfile {
  readonly openMs: number;
  readonly prepareMs: number;
  readonly findMs: number;
  /** Of the dense pass: waiting for the decoder, copying pixels, running the landmark model with its sampler. */
  readonly decodeMs: number;
  readonly copyMs: number;
  readonly inferMs: number;
  readonly qualityMs: number;
  readonly totalMs: number;
  readonly frames: number;
  /** Workers that shared the dense pass; its parts above are summed over them. */
  readonly workers: number;
}

/** One person seen in one probed frame. */
export interface PersonSighting {
  readonly t: number;
  readonly box: { readonly x: number; readonly y: number; readonly width: number; readonly height: number };
  readonly isAthlete: boolean;
}
