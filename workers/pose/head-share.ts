import { LANDMARK_INDEX } from '../../src/pose/landmarks.ts';

/**
 * The head's shoulder width over its trunk length at which its share begins and ends to fade. Seen from the front the
 * ratio is about 0.75, so these stand for about 35° and 45° off side-on. The head learned from bodies seen from the side;
 * on real people seen from the front its hips and shoulders came out too narrow (docs/joint-head.md).
 */
const FADE_FROM = 0.43;
const FADE_TO = 0.53;

/**
 * The trunk's turn from upright at which the fade begins and ends to be left out, degrees. Reaching for the floor turns
 * the chest out of the plane of the pass, so its width tells nothing about the camera any more; the head learned such poses.
 */
const TIPPED_FROM_DEG = 75;
const TIPPED_TO_DEG = 90;

/**
 * How much the joint head counts against the stock landmarks, 0 to 1: all of it from the side and on a body tipped
 * beyond level, none of it on an upright body from the front. Takes the head's own 33 × 2 joints in display pixels,
 * because the stock trunk falls apart when the body is upside down.
 */
export function headShare(xy: Float32Array): number {
  const { leftShoulder, rightShoulder, leftHip, rightHip } = LANDMARK_INDEX;
  const at = (index: number, axis: number): number => xy[index * 2 + axis] as number;
  const across = (axis: number): number => at(leftShoulder, axis) - at(rightShoulder, axis);
  const along = (axis: number): number => (at(leftShoulder, axis) + at(rightShoulder, axis) - at(leftHip, axis) - at(rightHip, axis)) / 2;
  const ratio = Math.hypot(across(0), across(1)) / Math.max(Math.hypot(along(0), along(1)), 1e-6);
  const turnDeg = (Math.atan2(Math.abs(along(0)), -along(1)) * 180) / Math.PI;
  const fromSide = (FADE_TO - ratio) / (FADE_TO - FADE_FROM);
  const fromTipping = (turnDeg - TIPPED_FROM_DEG) / (TIPPED_TO_DEG - TIPPED_FROM_DEG);
  return Math.max(0, Math.min(1, Math.max(fromSide, fromTipping)));
}
