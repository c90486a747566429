import type { BackgroundMotion } from '../clip/picture-quality.ts';
import { frameNear } from './frame-near.ts';
import { LANDMARK_COUNT } from './landmarks.ts';
import type { PoseTrack } from './pose-track.ts';

/** A background that moved less than this altogether stood still: the shift's own error is about as big, pixels. Chosen. */
const STOOD_STILL_PX = 2;

/** A track with the camera's movement taken out, and the way back to the picture. */
export interface SteadyTrack {
  /** As a camera that stayed where it was in the first frame would have seen it. */
  readonly track: PoseTrack;
  /** How far the background lies from there at clip seconds `t`, display pixels. */
  readonly shiftAt: (t: number) => { readonly x: number; readonly y: number };
  /** The farthest that the background moved, pixels; 0 when the camera stood still. */
  readonly farthestPx: number;
}

/** Takes the movement of the still background out of a track; the track itself comes back when the camera stood still or nothing is known. */
export function steadyTrack(track: PoseTrack, background?: BackgroundMotion): SteadyTrack {
  const ways = background === undefined ? [] : Array.from(background.xPx, (x, i) => Math.hypot(x, background.yPx[i] ?? NaN)).filter(Number.isFinite);
  const farthestPx = Math.max(0, ...ways);
  if (background === undefined || background.xPx.length !== track.times.length || farthestPx < STOOD_STILL_PX) {
    return { track, shiftAt: () => ({ x: 0, y: 0 }), farthestPx: 0 };
  }
  return {
    track: movedBack(track, background, -1),
    shiftAt: (t) => {
      const frame = frameNear(track.times, t);
      return { x: background.xPx[frame]!, y: background.yPx[frame]! };
    },
    farthestPx,
  };
}

/** The track with the background's movement put back in. */
export function asShaken(track: PoseTrack, background: BackgroundMotion): PoseTrack {
  return movedBack(track, background, 1);
}

function movedBack(track: PoseTrack, { xPx, yPx }: BackgroundMotion, sign: 1 | -1): PoseTrack {
  const xy = track.xy.slice();
  for (let i = 0; i < xy.length; i += 2) {
    const frame = Math.floor(i / 2 / LANDMARK_COUNT);
    xy[i] = xy[i]! + sign * xPx[frame]!;
    xy[i + 1] = xy[i + 1]! + sign * yPx[frame]!;
  }
  return { ...track, xy };
}
