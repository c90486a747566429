import type { BodyJoint, BodyTrack } from '../pose/body-track.ts';
import { degreesOf } from '../units/degrees.ts';

/** What is unsure about a pair of joints left and right of the body, beside its width. */
export interface Pair {
  readonly joint: 'hip' | 'shoulder';
  /** Error that lasts through a clip of how far apart the two are shown, leg lengths, one standard deviation. */
  readonly errorLeg: number;
  /** How far people hold and move the pair out of square with the run, degrees, one standard deviation. */
  readonly heldSdDeg: number;
}

/** A distance between the joint centres left and right, leg lengths, and its spread between people. */
export interface Width {
  readonly widthLeg: number;
  readonly widthSdLeg: number;
}

/**
 * Widths: shoulder 0.259 and hip 0.191 of height are widths of the body (Drillis & Contini 1966); the joint centres that
 * the model marks lie closer: 0.37 and 0.24 leg lengths, the mean of our five rendered bodies, whose spread is stated
 * threefold.
 */
export const PAIR_WIDTHS: Readonly<Record<'hip' | 'shoulder', Width>> = {
  hip: { widthLeg: 0.24, widthSdLeg: 0.03 },
  shoulder: { widthLeg: 0.37, widthSdLeg: 0.06 },
};
/** Half the distance between left and right, leg lengths: arms as wide as the shoulders, legs from the hips' width down to a usual step width of about 0.11 m (from memory, not checked; the rendered bodies walk alike). */
export const HALF_WIDTH_LEG: Readonly<Record<BodyJoint, number>> = {
  ear: 0.08, shoulder: 0.185, elbow: 0.185, wrist: 0.185, hip: 0.12, knee: 0.1, ankle: 0.07, heel: 0.07, toe: 0.05,
};
/** A trunk that leans more is not used: its sides separate by other ways. Chosen. */
const UPRIGHT_WITHIN_DEG = 60;

/** The frames until `untilS` (clip seconds) in which the trunk stands upright enough for its sides to tell how the camera looks; none where it is not seen. */
export function uprightFrames({ times, hipMid, shoulderMid }: BodyTrack, untilS: number): number[] {
  const frames: number[] = [];
  for (let i = 0; i < times.length && times[i]! <= untilS; i++) {
    const lean = degreesOf(Math.atan2(shoulderMid.x[i]! - hipMid.x[i]!, hipMid.y[i]! - shoulderMid.y[i]!));
    if (Math.abs(lean) < UPRIGHT_WITHIN_DEG) frames.push(i);
  }
  return frames;
}
