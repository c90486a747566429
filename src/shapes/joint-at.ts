import type { BodyTrack, Path } from '../pose/body-track.ts';
import { frameNear } from '../pose/frame-near.ts';
import { localFitter } from '../signal/local-fit.ts';
import { frameSpacing } from '../signal/frame-spacing.ts';
import { medianOf } from '../signal/spread.ts';

/** A joint at one instant: pixels in the athlete's frame of travel, one standard deviation per coordinate, and the model's score. */
export interface JointAt {
  readonly x: number;
  readonly y: number;
  readonly sd: number;
  readonly score: number;
  /** A person placed it. */
  readonly isPlaced: boolean;
}

/** Half width of the local parabola through a joint's path, seconds. Chosen: five frames at 60 fps, wide enough to calm jitter. */
const HALF_WIDTH_S = 0.042;
/** Deviation of a landmark whose model states none, in leg lengths: 30–50 mm of a 0.76 m leg (Needham et al. 2021, Sci Rep 11:20673). */
export const UNSTATED_SD_LEG = 0.05;

/** Share of a landmark's error, as a variance, that changes from frame to frame, so that a mean of frames is surer: over 24 tracks against truth the errors of neighbouring frames correlate by 0.7. */
const QUICK_SHARE = 0.3;

/**
 * How much of a joint's stated deviation counts in a figure made of several joints: the joints of a limb err together, which
 * turns and bends it less. Measured by tools/bench/interval-shares.ts on 17 rendered clips apart from those of
 * docs/accuracy.md: 0.76 makes 95 % intervals hold 95 % of the errors (knee 0.78, thigh 0.73, trunk 0.66, single ankles
 * 0.83); rounded up. Unstated and hand-placed joints count whole.
 */
export const STATED_SHARE = 0.8;

/** Reads joints at `t` by a local parabola over their neighbours; null in a gap. */
export function jointsAt(body: BodyTrack, t: number, legPx: number): (path: Path) => JointAt | null {
  const { times } = body;
  const near = frameNear(times, t);
  const half = Math.max(HALF_WIDTH_S, 2.01 * (times.length > 1 ? frameSpacing(times, t) : 0));
  const [byParabola, byLine] = [localFitter(times, null, t, half, 2), localFitter(times, null, t, half, 1)];
  return (path) => {
    const x = byParabola(path.x) ?? byLine(path.x);
    const y = byParabola(path.y) ?? byLine(path.y);
    if (x === null || y === null) return null;
    const isPlaced = path.isPlaced(near);
    const sd = statedSd(path, near - 1, near + 1, legPx, isPlaced) * Math.sqrt(1 - QUICK_SHARE + QUICK_SHARE * x.valueNoise ** 2);
    return { x: x.value, y: y.value, sd, score: medianOf(path.score, Math.max(0, near - 1), Math.min(times.length, near + 2)), isPlaced };
  };
}

/** The joint over a still stretch of frames, first to last: medians, which outvote frames in which the model slipped. */
export function jointOver(path: Path, from: number, to: number, legPx: number): JointAt | null {
  const x = medianOf(path.x.subarray(from, to + 1));
  const y = medianOf(path.y.subarray(from, to + 1));
  if (!Number.isFinite(x) || !Number.isFinite(y)) return null;
  return { x, y, sd: statedSd(path, from, to, legPx, false), score: medianOf(path.score.subarray(from, to + 1)), isPlaced: false };
}

/** What counts of the deviation that the model states over a stretch of frames, the median, or of a careful hand's. While the body holds still its error does too, so a median over such frames is no surer. */
function statedSd(path: Path, from: number, to: number, legPx: number, isPlaced: boolean): number {
  const stated = medianOf(path.sd, Math.max(0, from), Math.min(path.sd.length, to + 1));
  return Number.isFinite(stated) ? stated * (isPlaced ? 1 : STATED_SHARE) : UNSTATED_SD_LEG * legPx;
}
