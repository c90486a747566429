import type { BodyJoint, BodyTrack } from '../pose/body-track.ts';
import { medianOf } from '../signal/spread.ts';
import type { Estimate } from './growth-cue.ts';

/** A pair of joints left and right of the body. */
interface Pair {
  readonly joint: 'hip' | 'shoulder';
  /** Distance between the joint centres in leg lengths, and its spread between people. */
  readonly widthLeg: number;
  readonly widthSdLeg: number;
  /** Error that lasts through a clip of the separation, what the model does not show added, leg lengths, one standard deviation. */
  readonly errorLeg: number;
  /** How far people stand and move twisted about the body's axis, degrees, one standard deviation. */
  readonly twistSdDeg: number;
}

/**
 * Widths: shoulder 0.259 and hip 0.191 of height are widths of the body (Drillis & Contini 1966); the joint centres that
 * the model marks lie closer: 0.37 and 0.24 leg lengths, the mean of our five rendered bodies, whose spread is stated
 * threefold. Errors: measured on the twelve clips, and anew
 * on others with what the joint head does not show added (0.03 and 0.02, rounded up for people). Twist: chosen, no source.
 */
const PAIRS: readonly Pair[] = [
  { joint: 'hip', widthLeg: 0.24, widthSdLeg: 0.03, errorLeg: 0.04, twistSdDeg: 4 },
  { joint: 'shoulder', widthLeg: 0.37, widthSdLeg: 0.06, errorLeg: 0.03, twistSdDeg: 6 },
];
/** Half the distance between left and right, leg lengths: arms as wide as the shoulders, legs from the hips' width down to a usual step width of about 0.11 m (from memory, not checked; the rendered bodies walk alike). */
export const HALF_WIDTH_LEG: Readonly<Record<BodyJoint, number>> = {
  ear: 0.08, shoulder: 0.185, elbow: 0.185, wrist: 0.185, hip: 0.12, knee: 0.1, ankle: 0.07, heel: 0.07, toe: 0.05,
};
/** A trunk that leans more is not used: its sides separate by other ways. Chosen. */
const UPRIGHT_WITHIN_DEG = 60;

/**
 * Tangents of the yaw out of how far left and right hip, and left and right shoulder, separate in the picture while
 * upright: width × (sin ψ + (u/f) cos ψ). None where the joints are seen upright in fewer than `fewest` frames.
 */
export function widthCues(body: BodyTrack, toDisplay: 1 | -1, legPx: number, middleX: number, focalPx: number, untilS: number, fewest = 8): Estimate[] {
  return PAIRS.flatMap((pair) => {
    const tangents: number[] = [];
    const { [pair.joint]: left } = body.left;
    const { [pair.joint]: right } = body.right;
    const { share, nearAheadLeg } = body.sidesShown[pair.joint];
    for (let i = 0; i < body.times.length && body.times[i]! <= untilS; i++) {
      const rise = body.hipMid.y[i]! - body.shoulderMid.y[i]!;
      const lean = (Math.atan2(body.shoulderMid.x[i]! - body.hipMid.x[i]!, rise) * 180) / Math.PI;
      if (!(Math.abs(lean) < UPRIGHT_WITHIN_DEG)) continue;
      // Left minus right against the travel is the same sign whichever way the athlete goes; the nearer side is not.
      const apart = (right.x[i]! - left.x[i]!) / legPx - toDisplay * nearAheadLeg;
      const u = (toDisplay * ((left.x[i]! + right.x[i]!) / 2) - middleX) / focalPx;
      const tangent = apart / (share * pair.widthLeg) - u;
      if (Number.isFinite(tangent)) tangents.push(tangent);
    }
    if (tangents.length < fewest) return [];
    const value = medianOf(tangents);
    const sd = Math.hypot(pair.errorLeg / pair.widthLeg, value * (pair.widthSdLeg / pair.widthLeg), (pair.twistSdDeg * Math.PI) / 180);
    return [{ value, sd }];
  });
}
