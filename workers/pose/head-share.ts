import { LANDMARK_INDEX } from '../../src/pose/landmarks.ts';

/**
 * The head's shoulder width over its trunk length at which its share begins and ends to fade. Seen from the front the
 * ratio is about 0.75, so these stand for about 35° and 45° off side-on. The head learned from bodies seen from the side;
 * on real people seen from the front its hips and shoulders came out too narrow (docs/joint-head.md).
 */
const FADE_FROM = 0.43;
const FADE_TO = 0.53;

/**
 * How much the joint head counts against the stock landmarks, 0 to 1: all of it from the side, none of it from the front.
 * Takes the head's own 33 × 2 joints, because the stock trunk falls apart when the body is upside down.
 */
export function headShare(xy: Float32Array): number {
  const { leftShoulder, rightShoulder, leftHip, rightHip } = LANDMARK_INDEX;
  const at = (index: number, axis: number): number => xy[index * 2 + axis] as number;
  const across = (axis: number): number => at(leftShoulder, axis) - at(rightShoulder, axis);
  const along = (axis: number): number => (at(leftShoulder, axis) + at(rightShoulder, axis) - at(leftHip, axis) - at(rightHip, axis)) / 2;
  const ratio = Math.hypot(across(0), across(1)) / Math.max(Math.hypot(along(0), along(1)), 1e-6);
  return Math.max(0, Math.min(1, (FADE_TO - ratio) / (FADE_TO - FADE_FROM)));
}
