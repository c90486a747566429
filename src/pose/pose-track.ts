import { LANDMARK_COUNT } from './landmarks.ts';

/**
 * The athlete's landmarks in every measured frame of one clip, as the model gave them.
 *
 * Positions are display pixels (rotation applied), x right, y down, origin at the top-left corner of the picture.
 * A frame in which the athlete was not found holds NaN positions and score 0: a gap stays a gap.
 */
export interface PoseTrack {
  /** Presentation time of each frame in seconds from the first shown frame, strictly increasing. */
  readonly times: Float64Array;
  /** Display width of the picture in pixels. */
  readonly widthPx: number;
  /** Display height of the picture in pixels. */
  readonly heightPx: number;
  /** frames × 33 × 2, x then y. Best estimate of the joint centre, after the joint refiner where there is one. */
  readonly xy: Float32Array;
  /** frames × 33, 0 to 1: how likely the landmark is in the picture and visible. */
  readonly score: Float32Array;
  /** frames × 33, one standard deviation of the position in pixels as the estimator states it; NaN where unknown. */
  readonly sd: Float32Array;
  /** Id of the pose model that measured every frame, e.g. "blazepose-full+joint-head-1". */
  readonly model: string;
  /** Compute backend that ran the model, e.g. "wasm" or "webgl". */
  readonly backend: string;
}

/** Number of frames in a track. */
export function frameCount(track: PoseTrack): number {
  return track.times.length;
}

/** The x and y of one landmark in one frame in pixels; NaN in a gap. Throws RangeError outside the track. */
export function landmarkAt(track: PoseTrack, frame: number, landmark: number): { readonly x: number; readonly y: number } {
  const at = (frame * LANDMARK_COUNT + landmark) * 2;
  const x = track.xy[at];
  const y = track.xy[at + 1];
  if (x === undefined || y === undefined) throw new RangeError(`no frame ${frame} or landmark ${landmark}`);
  return { x, y };
}
