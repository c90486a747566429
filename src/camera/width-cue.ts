import type { BodyTrack } from '../pose/body-track.ts';
import { medianOf } from '../signal/spread.ts';
import { PAIR_WIDTHS, uprightFrames, type Pair } from './across-body.ts';
import type { Estimate } from './growth-cue.ts';

/**
 * Separations along the run. Errors: measured on the twelve clips, and anew on others with what the joint head does not
 * show added (0.03 and 0.02, rounded up for people). Twist: chosen, no source.
 */
const PAIRS: readonly Pair[] = [
  { joint: 'hip', errorLeg: 0.04, heldSdDeg: 4 },
  { joint: 'shoulder', errorLeg: 0.03, heldSdDeg: 6 },
];

/**
 * Tangents of the yaw out of how far left and right hip, and left and right shoulder, separate in the picture while
 * upright: width × (sin ψ + (u/f) cos ψ). None where the joints are seen upright in fewer than `fewest` frames.
 */
export function widthCues(body: BodyTrack, toDisplay: 1 | -1, legPx: number, middleX: number, focalPx: number, untilS: number, fewest = 8): Estimate[] {
  const frames = uprightFrames(body, untilS);
  return PAIRS.flatMap(({ joint, errorLeg, heldSdDeg }) => {
    const { widthLeg, widthSdLeg } = PAIR_WIDTHS[joint];
    const { [joint]: left } = body.left;
    const { [joint]: right } = body.right;
    const { share, nearAheadLeg } = body.sidesShown[joint];
    const tangents = frames.map((i) => {
      // Left minus right against the travel is the same sign whichever way the athlete goes; the nearer side is not.
      const apart = (right.x[i]! - left.x[i]!) / legPx - toDisplay * nearAheadLeg;
      const u = (toDisplay * ((left.x[i]! + right.x[i]!) / 2) - middleX) / focalPx;
      return apart / (share * widthLeg) - u;
    }).filter(Number.isFinite);
    if (tangents.length < fewest) return [];
    const value = medianOf(tangents);
    const sd = Math.hypot(errorLeg / widthLeg, value * (widthSdLeg / widthLeg), (heldSdDeg * Math.PI) / 180);
    return [{ value, sd }];
  });
}
