import { believedMotion, farthestShiftPx, motionAt } from '../clip/background-motion.ts';
import type { BackgroundMotion } from '../clip/picture-quality.ts';
import { inverse, moved, STILL, type Motion } from '../geometry/motion.ts';
import type { Point } from '../units/point.ts';
import { frameNear } from './frame-near.ts';
import { LANDMARK_COUNT } from './landmarks.ts';
import type { PoseTrack } from './pose-track.ts';

/** A background that moved less than this altogether stood still: the motion's own error is about as big, pixels. Chosen. */
const STOOD_STILL_PX = 2;

/** A track with the camera's movement taken out, and the ways between it and the picture. */
export interface SteadyTrack {
  /** As a camera that stayed where it was in the first frame would have seen it. */
  readonly track: PoseTrack;
  /** Where a point of the steady track lies in the picture at clip seconds `t`, display pixels. */
  readonly inPicture: (point: Point, t: number) => Point;
  /** Where a point of the picture at clip seconds `t` lies in the steady track. */
  readonly steadied: (point: Point, t: number) => Point;
  /** A track of the same frames, steady, as the picture shows it. */
  readonly asFilmed: (steady: PoseTrack) => PoseTrack;
  /** The farthest that the background moved in the middle of the picture, pixels; 0 when the camera stood still. */
  readonly farthestPx: number;
}

/** Takes the movement of the still background out of a track; the track itself comes back when the camera stood still or nothing is known. */
export function steadyTrack(track: PoseTrack, measured?: BackgroundMotion): SteadyTrack {
  const background = believedMotion(measured);
  const farthestPx = farthestShiftPx(measured) ?? 0;
  if (background === null || background.xPx.length !== track.times.length || farthestPx < STOOD_STILL_PX) {
    const same = (point: Point): Point => point;
    return { track, inPicture: same, steadied: same, asFilmed: (steady) => steady, farthestPx: 0 };
  }
  const motionNear = (t: number): Motion => motionAt(background, frameNear(track.times, t), track);
  return {
    track: eachMoved(track, (frame) => inverse(motionAt(background, frame, track))),
    inPicture: (point, t) => moved(point, motionNear(t)),
    steadied: (point, t) => moved(point, inverse(motionNear(t))),
    asFilmed: (steady) => asShaken(steady, background),
    farthestPx,
  };
}

/** The track with the background's movement put back in. */
export function asShaken(track: PoseTrack, background: Required<BackgroundMotion>): PoseTrack {
  return eachMoved(track, (frame) => motionAt(background, frame, track));
}

function eachMoved(track: PoseTrack, motionOf: (frame: number) => Motion): PoseTrack {
  const xy = track.xy.slice();
  let motion = STILL;
  for (let i = 0; i < xy.length; i += 2) {
    if ((i / 2) % LANDMARK_COUNT === 0) motion = motionOf(i / 2 / LANDMARK_COUNT);
    const { x, y } = moved({ x: xy[i]!, y: xy[i + 1]! }, motion);
    xy[i] = x;
    xy[i + 1] = y;
  }
  return { ...track, xy };
}
