import type { Point } from '../units/point.ts';
import { exchangeSides, type LimbPart } from './exchange-sides.ts';
import { frameNear } from './frame-near.ts';
import { LANDMARK_INDEX, type LandmarkName } from './landmarks.ts';
import { landmarkAt, type PoseTrack } from './pose-track.ts';

/** What a person said about left and right: in this stretch of the clip the limbs lie so. */
export interface HandSwap {
  readonly part: LimbPart;
  /** First and last frame of the stretch, clip seconds; null is the clip's own end. */
  readonly fromS: number | null;
  readonly toS: number | null;
  /** Where the left and the right end of the limbs lie in one frame of the stretch, display pixels: what was said, whatever a later run of the model calls them. */
  readonly seen: { readonly t: number; readonly left: Point; readonly right: Point };
}

/** The landmark that tells one limb from the other: the ankle, the wrist. */
const END_OF: Readonly<Record<LimbPart, readonly [LandmarkName, LandmarkName]>> = {
  legs: ['leftAnkle', 'rightAnkle'],
  arms: ['leftWrist', 'rightWrist'],
};

/** Half the tightest spacing of frames that any phone films: times this close are the same frame. */
const SAME_FRAME_S = 0.5 / 240;

/** Whether clip second t lies in the stretch, both ends included. */
export function isWithin({ fromS, toS }: Pick<HandSwap, 'fromS' | 'toS'>, t: number): boolean {
  return t >= (fromS ?? -Infinity) - SAME_FRAME_S && t <= (toS ?? Infinity) + SAME_FRAME_S;
}

/**
 * The statement that exchanges left and right as the track has them now, told by the frame in which the two limbs lie
 * farthest apart. Null when neither is seen anywhere in the stretch.
 */
export function swapOf(track: PoseTrack, part: LimbPart, fromS: number | null, toS: number | null): HandSwap | null {
  let best: { readonly apart: number; readonly seen: HandSwap['seen'] } | null = null;
  for (const frame of framesWithin(track, { fromS, toS })) {
    const [left, right] = ends(track, part, frame);
    const apart = Math.hypot(left.x - right.x, left.y - right.y);
    if (apart > (best?.apart ?? 0)) best = { apart, seen: { t: track.times[frame]!, left: right, right: left } };
  }
  return best === null ? null : { part, fromS, toS, seen: best.seen };
}

/** The track with left and right as a person said, one statement after the other; `inPicture` says where a point of the track lies in the picture at clip seconds. */
export function swapByHand(track: PoseTrack, swaps: readonly HandSwap[], inPicture: (point: Point, t: number) => Point = (point) => point): PoseTrack {
  return swaps.reduce((now, swap) => (isContrary(now, swap, inPicture) ? exchangeSides(now, swap.part, framesWithin(now, swap)) : now), track);
}

/** Whether the track calls the limbs the other way round than was said; a frame without them is believed as it is. */
function isContrary(track: PoseTrack, { part, seen }: HandSwap, inPicture: (point: Point, t: number) => Point): boolean {
  const [left, right] = ends(track, part, frameNear(track.times, seen.t)).map((at) => inPicture(at, seen.t)) as [Point, Point];
  const off = (at: Point, said: Point): number => Math.hypot(at.x - said.x, at.y - said.y);
  return off(left, seen.left) + off(right, seen.right) > off(left, seen.right) + off(right, seen.left);
}

function ends(track: PoseTrack, part: LimbPart, frame: number): readonly [Point, Point] {
  const [left, right] = END_OF[part];
  return [landmarkAt(track, frame, LANDMARK_INDEX[left]), landmarkAt(track, frame, LANDMARK_INDEX[right])];
}

function framesWithin(track: PoseTrack, stretch: Pick<HandSwap, 'fromS' | 'toS'>): number[] {
  return Array.from(track.times.keys()).filter((frame) => isWithin(stretch, track.times[frame]!));
}
