import type { BodyTrack } from '../pose/body-track.ts';
import { medianOf } from '../signal/spread.ts';
import { radiansOf } from '../units/degrees.ts';
import { PAIR_WIDTHS, uprightFrames, type Pair } from './across-body.ts';
import type { Estimate } from './growth-cue.ts';

/** Heights. Errors: measured on 57 drawn clips (docs/camera.md). Slopes: chosen, no source. */
const PAIRS: readonly Pair[] = [
  { joint: 'hip', errorLeg: 0.013, heldSdDeg: 3 },
  { joint: 'shoulder', errorLeg: 0.015, heldSdDeg: 3 },
];
/** Upright frames needed. Chosen, as for the body's width. */
const FEWEST = 8;

/**
 * Tangents of how far the camera looks down, out of how much lower in the picture the nearer hip and shoulder lie than the
 * farther. What lies below the camera is seen from above, and the nearer of two points of one height lower in the picture; at
 * the camera's own height they lie in one row. So the row of the horizon shows: with width w apart and v below the middle,
 * tan = apart / w − v / f, where the pair's distance cancels out. None for a model whose heights of the two sides were not
 * measured, or where the joints are seen upright in too few frames.
 */
export function tiltCues(body: BodyTrack, toDisplay: 1 | -1, legPx: number, middleY: number, focalPx: number, untilS: number): Estimate[] {
  const frames = uprightFrames(body, untilS);
  return PAIRS.flatMap(({ joint, errorLeg, heldSdDeg }) => {
    const { nearHighLeg } = body.sidesShown[joint];
    if (nearHighLeg === null) return [];
    const { widthLeg, widthSdLeg } = PAIR_WIDTHS[joint];
    // The athlete's left is away from the camera when running to the right of the picture.
    const [near, far] = toDisplay === 1 ? [body.right[joint], body.left[joint]] : [body.left[joint], body.right[joint]];
    const slope = (i: number): number => ((near.y[i]! - far.y[i]!) / legPx + nearHighLeg) / widthLeg;
    const seen = frames.filter((i) => Number.isFinite(slope(i)));
    if (seen.length < FEWEST) return [];
    const sd = Math.hypot(errorLeg / widthLeg, medianOf(seen.map(slope)) * (widthSdLeg / widthLeg), Math.tan(radiansOf(heldSdDeg)));
    return [{ value: medianOf(seen.map((i) => slope(i) - ((near.y[i]! + far.y[i]!) / 2 - middleY) / focalPx)), sd }];
  });
}
