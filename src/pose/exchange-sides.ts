import { LANDMARK_COUNT, LANDMARK_INDEX, type LandmarkName } from './landmarks.ts';
import type { PoseTrack } from './pose-track.ts';

/** The limbs that change places together when one leg, or one arm, is taken for the other. */
export const LIMB_PAIRS = {
  legs: [
    ['leftHip', 'rightHip'], ['leftKnee', 'rightKnee'], ['leftAnkle', 'rightAnkle'],
    ['leftHeel', 'rightHeel'], ['leftFootIndex', 'rightFootIndex'],
  ],
  arms: [
    ['leftShoulder', 'rightShoulder'], ['leftElbow', 'rightElbow'], ['leftWrist', 'rightWrist'],
    ['leftPinky', 'rightPinky'], ['leftIndex', 'rightIndex'], ['leftThumb', 'rightThumb'],
  ],
} as const satisfies Readonly<Record<string, readonly (readonly [LandmarkName, LandmarkName])[]>>;

/** Both legs, or both arms. */
export type LimbPart = keyof typeof LIMB_PAIRS;

/** The track with left and right legs, or arms, exchanged in the given frames; the track itself stays untouched. */
export function exchangeSides(track: PoseTrack, part: LimbPart, frames: readonly number[]): PoseTrack {
  if (frames.length === 0) return track;
  const xy = track.xy.slice();
  const score = track.score.slice();
  const sd = track.sd.slice();
  for (const frame of frames) {
    for (const [left, right] of LIMB_PAIRS[part]) {
      const a = frame * LANDMARK_COUNT + LANDMARK_INDEX[left];
      const b = frame * LANDMARK_COUNT + LANDMARK_INDEX[right];
      for (const values of [score, sd]) [values[a], values[b]] = [values[b]!, values[a]!];
      for (const axis of [0, 1]) [xy[2 * a + axis], xy[2 * b + axis]] = [xy[2 * b + axis]!, xy[2 * a + axis]!];
    }
  }
  return { ...track, xy, score, sd };
}
