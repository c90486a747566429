import type { BodyTrack, Path } from '../pose/body-track.ts';
import { indexAtOrBefore } from '../signal/interpolate.ts';
import { frameSpacing } from '../signal/frame-spacing.ts';
import { localFitAll } from '../signal/local-fit.ts';
import { medianFilter } from '../signal/median-filter.ts';
import { medianOf } from '../signal/spread.ts';
import type { Moment } from './moment.ts';

/** A joint has moved once it is this far from where it rested, in leg lengths: 2 cm of a 0.76 m leg. */
const MOVED = 0.026;
/** Stillness is looked for in windows of this length, seconds. Chosen. */
const STILL_WINDOW_S = 0.15;
/** Half width of the median that takes out jitter before the threshold, and of the parabola after it: a line would run ahead of a joint that speeds up. Seconds. */
const MEDIAN_HALF_WIDTH_S = 0.05;
const CALM_HALF_WIDTH_S = 0.07;
/** How unsure a joint's distance from where it rested is, leg lengths: makes the stated spread that of the errors on 17 rendered clips (docs/accuracy.md); and the least deviation in frames, chosen on drawn starts with the head's noise. */
const DISTANCE_SD = 0.013;
const SUREST_FRAMES = 0.5;

/** The still posture before the start and the instant at which it ends. */
export interface Onset {
  readonly set: Moment;
  readonly firstMove: Moment;
  /** Frames of the still window, first and last. */
  readonly still: readonly [number, number];
}

/**
 * Looks back from `before` (clip seconds) for the last stretch in which all of wrists, ankles, knees, hip centre and
 * shoulder centre stay within 2 cm (scaled by leg length) of where they rest; the first movement is when two of them have
 * crossed that distance, at sub-frame precision.
 */
export function findOnset(body: BodyTrack, legPx: number, before: number): Onset {
  const { times } = body;
  const step = frameSpacing(times);
  const paths: readonly Path[] = [
    body.left.wrist, body.right.wrist, body.left.ankle, body.right.ankle, body.left.knee, body.right.knee, body.hipMid, body.shoulderMid,
  ];
  const odd = 2 * Math.max(1, Math.round(MEDIAN_HALF_WIDTH_S / step)) + 1;
  const calmed = (values: Float64Array): Float64Array => localFitAll(times, medianFilter(values, odd), null, Math.max(CALM_HALF_WIDTH_S, 1.6 * step), 2).value;
  const calm = paths.map((path) => ({ x: calmed(path.x), y: calmed(path.y) }));
  const last = Math.max(0, indexAtOrBefore(times, before));
  const width = Math.max(2, Math.round(STILL_WINDOW_S / step));
  const extent = (a: number, b: number): number => Math.max(...calm.map(({ x, y }) => spread(x, a, b) + spread(y, a, b)));

  let end = -1;
  for (let b = last; b >= width; b--) {
    if (extent(b - width, b) < MOVED * legPx) {
      end = b;
      break;
    }
  }
  if (end < 0) {
    const none = { found: false, why: 'moment-not-found' } as const;
    return { set: none, firstMove: none, still: [0, Math.min(width, times.length - 1)] };
  }
  let begin = end - width;
  while (begin > 0 && extent(begin - 1, end) < MOVED * legPx) begin--;
  const rest = calm.map(({ x, y }) => ({ x: medianOf(x.subarray(begin, end + 1)), y: medianOf(y.subarray(begin, end + 1)) }));
  // The second farthest: one joint alone may be a slip of the model, and the farthest of eight unsure joints is always too far.
  const away = (i: number): number => calm.map(({ x, y }, k) => Math.hypot(x[i]! - rest[k]!.x, y[i]! - rest[k]!.y) || 0).sort((a, b) => b - a)[1]!;
  // The last crossing: jitter within the still stretch is no movement.
  let i = end;
  while (i > begin && away(i) >= MOVED * legPx) i--;
  while (i < times.length - 1 && away(i) < MOVED * legPx) i++;
  const prior = Math.max(0, i - 1);
  const a = away(prior);
  const b = away(i);
  const share = b > a ? Math.max(0, Math.min(1, (MOVED * legPx - a) / (b - a))) : 1;
  const t = times[prior]! + share * (times[i]! - times[prior]!);
  const speed = (b - a) / (times[i]! - times[prior]!);
  const still: [number, number] = [begin, Math.max(begin, i - 1)];
  const sd = Math.max(SUREST_FRAMES * step, speed > 0 ? (DISTANCE_SD * legPx) / speed : step);
  return {
    firstMove: { found: true, t, sd, source: 'detected' },
    set: { found: true, t: times[still[1]]!, sd, source: 'detected' },
    still,
  };
}

function spread(values: Float64Array, a: number, b: number): number {
  let low = Infinity;
  let high = -Infinity;
  for (let i = a; i <= b; i++) {
    const value = values[i]!;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return high >= low ? (high - low) / 2 : 0;
}
