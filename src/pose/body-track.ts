import { quantile } from 'd3';
import { valuesAt } from '../signal/resample.ts';
import type { Direction, Side } from '../starts/start.ts';
import { frameNear } from './frame-near.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX, type LandmarkName } from './landmarks.ts';
import type { IsPlaced } from './place-joints.ts';
import type { PoseTrack } from './pose-track.ts';
import { sidesShown, type SidesShown } from './sides-shown.ts';

/** Joints that exist on both sides of the body and that the measures use. */
export const BODY_JOINTS = ['ear', 'shoulder', 'elbow', 'wrist', 'hip', 'knee', 'ankle', 'heel', 'toe'] as const;

/** One two-sided joint. */
export type BodyJoint = (typeof BODY_JOINTS)[number];

/** One point through the clip: x and y in pixels, its standard deviation in pixels and its score; NaN in gaps. */
export interface Path {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly sd: Float64Array;
  readonly score: Float64Array;
  /** Whether a person placed the point in that frame. */
  readonly isPlaced: (frame: number) => boolean;
}

/** One side of the body. */
export type Limbs = Readonly<Record<BodyJoint, Path>>;

/**
 * The joints as paths over time in the athlete's frame of travel:
 * x grows in the direction of travel, y grows downward, both in pixels.
 */
export interface BodyTrack {
  /** Even where the frames are not: frames that were not measured between two that were are interpolated. */
  readonly times: Float64Array;
  /** The track's own frames. */
  readonly frameTimes: Float64Array;
  readonly left: Limbs;
  readonly right: Limbs;
  readonly hipMid: Path;
  readonly shoulderMid: Path;
  readonly sidesShown: SidesShown;
}

const LANDMARK_OF: Readonly<Record<BodyJoint, Readonly<Record<Side, LandmarkName>>>> = {
  ear: { left: 'leftEar', right: 'rightEar' },
  shoulder: { left: 'leftShoulder', right: 'rightShoulder' },
  elbow: { left: 'leftElbow', right: 'rightElbow' },
  wrist: { left: 'leftWrist', right: 'rightWrist' },
  hip: { left: 'leftHip', right: 'rightHip' },
  knee: { left: 'leftKnee', right: 'rightKnee' },
  ankle: { left: 'leftAnkle', right: 'rightAnkle' },
  heel: { left: 'leftHeel', right: 'rightHeel' },
  toe: { left: 'leftFootIndex', right: 'rightFootIndex' },
};

/** The model landmark that stands for a joint of one side. */
export function landmarkOf(joint: BodyJoint, side: Side): LandmarkName {
  return LANDMARK_OF[joint][side];
}

/** One landmark's path, mirrored so that x grows in the direction of travel. */
function landmarkPath(track: PoseTrack, landmark: number, direction: Direction, isPlaced: IsPlaced): Path {
  const n = track.times.length;
  const sign = direction === 'left-to-right' ? 1 : -1;
  const x = new Float64Array(n);
  const y = new Float64Array(n);
  const sd = new Float64Array(n);
  const score = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const at = i * LANDMARK_COUNT + landmark;
    x[i] = sign * (track.xy[2 * at] ?? NaN);
    y[i] = track.xy[2 * at + 1] ?? NaN;
    sd[i] = track.sd[at] ?? NaN;
    score[i] = track.score[at] ?? 0;
  }
  return { x, y, sd, score, isPlaced: (frame) => isPlaced(frame, landmark) };
}

/** The point halfway between two paths; its deviation assumes independent errors. */
export function midPath(a: Path, b: Path): Path {
  return {
    x: a.x.map((value, i) => (value + (b.x[i] ?? NaN)) / 2),
    y: a.y.map((value, i) => (value + (b.y[i] ?? NaN)) / 2),
    sd: a.sd.map((value, i) => Math.hypot(value, b.sd[i] ?? NaN) / 2),
    score: a.score.map((value, i) => Math.min(value, b.score[i] ?? 0)),
    isPlaced: (frame) => a.isPlaced(frame) || b.isPlaced(frame),
  };
}

/** A gap this many times the clip's usual fine spacing was thinned out on measuring, and is filled up to this long, seconds. Chosen: 12 frames a second and more. */
const THINNED = 1.5;
const LONGEST_THINNED_S = 0.085;

/** The track's times with even steps put into gaps that were measured more thinly than the rest; the very same times when there is none. */
function evenTimes(times: Float64Array): Float64Array {
  const gaps = times.subarray(1).map((t, i) => t - times[i]!);
  const fine = quantile(gaps, 0.1);
  if (fine === undefined || gaps.every((gap) => gap <= THINNED * fine || gap > LONGEST_THINNED_S)) return times;
  const even: number[] = [];
  times.forEach((t, i) => {
    even.push(t);
    const gap = gaps[i] ?? 0;
    const parts = gap > THINNED * fine && gap <= LONGEST_THINNED_S ? Math.round(gap / fine) : 1;
    for (let k = 1; k < parts; k++) even.push(t + (gap * k) / parts);
  });
  return Float64Array.from(even);
}

/** A path at other times: positions by cubic, deviation, score and placing of the nearest frame; gaps stay gaps. */
function pathAt(path: Path, times: Float64Array, even: Float64Array): Path {
  const nearest = Int32Array.from(even, (t) => frameNear(times, t));
  const from = (values: Float64Array): Float64Array => Float64Array.from(nearest, (frame) => values[frame]!);
  return {
    x: valuesAt(times, path.x, even), y: valuesAt(times, path.y, even),
    sd: from(path.sd), score: from(path.score), isPlaced: (frame) => path.isPlaced(nearest[frame] ?? 0),
  };
}

/** Reads a pose track as joint paths in the athlete's frame of travel, on even times. */
export function bodyTrack(track: PoseTrack, direction: Direction, isPlaced: IsPlaced = () => false): BodyTrack {
  const times = evenTimes(track.times);
  const evened = (path: Path): Path => (times === track.times ? path : pathAt(path, track.times, times));
  const limbs = (side: Side): Limbs => Object.fromEntries(
    BODY_JOINTS.map((joint) => [joint, evened(landmarkPath(track, LANDMARK_INDEX[landmarkOf(joint, side)], direction, isPlaced))]),
  ) as unknown as Limbs;
  const left = limbs('left');
  const right = limbs('right');
  return {
    times,
    frameTimes: track.times,
    left,
    right,
    hipMid: midPath(left.hip, right.hip),
    shoulderMid: midPath(left.shoulder, right.shoulder),
    sidesShown: sidesShown(track.model),
  };
}
