import type { BodyTrack } from '../pose/body-track.ts';
import { medianOf } from '../signal/spread.ts';
import { isUpright, PAIR_WIDTHS } from './across-body.ts';
import type { Estimate } from './growth-cue.ts';

/** What is unsure about a pair of joints left and right of the body, beside their width. */
interface Pair {
  readonly joint: 'hip' | 'shoulder';
  /** Error that lasts through a clip of the separation, what the model does not show added, leg lengths, one standard deviation. */
  readonly errorLeg: number;
  /** How far people stand and move twisted about the body's axis, degrees, one standard deviation. */
  readonly twistSdDeg: number;
}

/**
 * Errors: measured on the twelve clips, and anew on others with what the joint head does not show added (0.03 and 0.02,
 * rounded up for people). Twist: chosen, no source.
 */
const PAIRS: readonly Pair[] = [
  { joint: 'hip', errorLeg: 0.04, twistSdDeg: 4 },
  { joint: 'shoulder', errorLeg: 0.03, twistSdDeg: 6 },
];

/**
 * Tangents of the yaw out of how far left and right hip, and left and right shoulder, separate in the picture while
 * upright: width × (sin ψ + (u/f) cos ψ). None where the joints are seen upright in fewer than `fewest` frames.
 */
export function widthCues(body: BodyTrack, toDisplay: 1 | -1, legPx: number, middleX: number, focalPx: number, untilS: number, fewest = 8): Estimate[] {
  return PAIRS.flatMap(({ joint, errorLeg, twistSdDeg }) => {
    const tangents: number[] = [];
    const { widthLeg, widthSdLeg } = PAIR_WIDTHS[joint];
    const { [joint]: left } = body.left;
    const { [joint]: right } = body.right;
    const { share, nearAheadLeg } = body.sidesShown[joint];
    for (let i = 0; i < body.times.length && body.times[i]! <= untilS; i++) {
      if (!isUpright(body, i)) continue;
      // Left minus right against the travel is the same sign whichever way the athlete goes; the nearer side is not.
      const apart = (right.x[i]! - left.x[i]!) / legPx - toDisplay * nearAheadLeg;
      const u = (toDisplay * ((left.x[i]! + right.x[i]!) / 2) - middleX) / focalPx;
      const tangent = apart / (share * widthLeg) - u;
      if (Number.isFinite(tangent)) tangents.push(tangent);
    }
    if (tangents.length < fewest) return [];
    const value = medianOf(tangents);
    const sd = Math.hypot(errorLeg / widthLeg, value * (widthSdLeg / widthLeg), (twistSdDeg * Math.PI) / 180);
    return [{ value, sd }];
  });
}
