import { frameNear } from './frame-near.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX, type LandmarkName } from './landmarks.ts';
import type { PoseTrack } from './pose-track.ts';

/** A landmark put by hand in the frame at `t`, display pixels. */
export interface PlacedJoint {
  readonly t: number;
  readonly landmark: LandmarkName;
  readonly x: number;
  readonly y: number;
}

/** The model's error lasts: a correction holds fully this long on either side, then fades out over as long again, seconds. Chosen. */
const HOLD_S = 0.06;
/**
 * One standard deviation of a landmark that a careful person places, as a share of the picture's height: about 1 cm on an
 * athlete who fills half of it. Operator-marked angles repeat within 1–3° (from memory, not checked).
 */
const HAND_SD = 0.004;

/** Whether a landmark of a frame was put by hand, or lies so near to one that was that it follows it. */
export type IsPlaced = (frame: number, landmark: number) => boolean;

/** Moves the landmarks that a person placed, and their neighbours in time along with them; the track itself stays untouched. */
export function placeJoints(track: PoseTrack, joints: readonly PlacedJoint[]): { readonly track: PoseTrack; readonly isPlaced: IsPlaced } {
  const xy = track.xy.slice();
  const sd = track.sd.slice();
  const score = track.score.slice();
  const held = new Set<number>();
  for (const joint of joints) {
    const landmark = LANDMARK_INDEX[joint.landmark];
    const centre = frameNear(track.times, joint.t);
    const at = centre * LANDMARK_COUNT + landmark;
    const known = Number.isFinite(track.xy[2 * at]);
    const dx = known ? joint.x - track.xy[2 * at]! : 0;
    const dy = known ? joint.y - track.xy[2 * at + 1]! : 0;
    track.times.forEach((t, frame) => {
      const away = Math.abs(t - track.times[centre]!);
      const share = away <= HOLD_S ? 1 : Math.max(0, 2 - away / HOLD_S);
      if (share === 0) return;
      const k = frame * LANDMARK_COUNT + landmark;
      if (Number.isFinite(track.xy[2 * k])) {
        xy[2 * k] = track.xy[2 * k]! + share * dx;
        xy[2 * k + 1] = track.xy[2 * k + 1]! + share * dy;
      } else if (share === 1) {
        xy[2 * k] = joint.x;
        xy[2 * k + 1] = joint.y;
      }
      if (share === 1) {
        sd[k] = HAND_SD * track.heightPx;
        score[k] = 1;
        held.add(k);
      }
    });
  }
  return { track: { ...track, xy, sd, score }, isPlaced: (frame, landmark) => held.has(frame * LANDMARK_COUNT + landmark) };
}
