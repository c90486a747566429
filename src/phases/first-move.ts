import type { BodyTrack, Path } from '../pose/body-track.ts';
import { indexAtOrBefore } from '../signal/interpolate.ts';
import { frameSpacing } from '../signal/frame-spacing.ts';
import { leavesRest, type Departure } from '../signal/leave-rest.ts';
import { localFitAll } from '../signal/local-fit.ts';
import { medianFilter } from '../signal/median-filter.ts';
import { medianOf } from '../signal/spread.ts';
import type { Moment } from './moment.ts';

/** A joint has moved once it is this far from where it rested, metres; of a leg whose length in metres is not known, the same share as of one of 0.76 m. */
const MOVED_M = 0.02;
const USUAL_LEG_M = 0.76;
/** Stillness is looked for in windows of this length, in which no joint strays farther than this, leg lengths. Chosen. */
const STILL_WINDOW_S = 0.15;
const STILL = 0.026;
/** Half width of the median that takes out jitter, and of the parabola after it, where stillness is looked for. Seconds. */
const MEDIAN_HALF_WIDTH_S = 0.05;
const CALM_HALF_WIDTH_S = 0.07;
/** How often the still stretch is carried on to before a slow movement. Chosen: it strays by no more than three times what is still in a window. */
const ONWARD_PASSES = 3;
/** A joint's rest is looked at for this long before it moves, seconds, and its departure until it is this far away, leg lengths, or for this many frames. Chosen: 0.4 to 0.8 s and 0.07 to 0.14 give the same. */
const REST_S = 0.6;
const FAR = 0.1;
const FEWEST_AWAY = 3;
/** Another joint moves this soon after the first, seconds: with exact joints in 57 of 58 drawn starts. */
const FOLLOWED_WITHIN_S = 0.02;
/** How unsure a joint's place is in one frame at least, and how unsure the distance is beside what the fit says (a sway toward the camera is not seen), leg lengths; the least deviation in frames. Chosen on drawn starts with the head's noise. */
const PLACE_SD = 0.002;
const DISTANCE_SD = 0.006;
const SUREST_FRAMES = 0.5;

/** The still posture before the start and the instant at which it ends. */
export interface Onset {
  readonly set: Moment;
  readonly firstMove: Moment;
  /** Frames of the still window, first and last. */
  readonly still: readonly [number, number];
}

/**
 * Looks back from `before` (clip seconds) for the last still stretch of wrists, ankles, knees, hip centre and shoulder
 * centre; the first movement is the instant at which the first of them is 2 cm from where it rested, at sub-frame precision.
 * `legM` is the leg's length in metres where it is known, else null.
 */
export function findOnset(body: BodyTrack, legPx: number, before: number, legM: number | null): Onset {
  const { times } = body;
  const step = frameSpacing(times);
  const middles: readonly Path[] = [body.hipMid, body.shoulderMid];
  const paths: readonly Path[] = [body.left.wrist, body.right.wrist, body.left.ankle, body.right.ankle, body.left.knee, body.right.knee, ...middles];
  const calm = paths.map((path) => calmed(path, times, step));
  const last = Math.max(0, indexAtOrBefore(times, before));
  const width = Math.max(2, Math.round(STILL_WINDOW_S / step));
  const stretch = stillStretch(calm, last, width, STILL * legPx);
  if (stretch === null) {
    const none = { found: false, why: 'moment-not-found' } as const;
    return { set: none, firstMove: none, still: [0, Math.min(width, times.length - 1)] };
  }
  const settled = Math.max(stretch.begin, indexAtOrBefore(times, times[stretch.end]! - 2 * REST_S));
  const rests = placesFrom(calm, settled, Math.min(stretch.end, settled + (width >> 1)));
  const distance = (MOVED_M / (legM ?? USUAL_LEG_M)) * legPx;
  const departures = paths.map((path, k): JointDeparture | null => {
    const [{ x, y }, rest] = [calm[k]!, rests[k]!];
    const isWithin = (i: number, reach: number): boolean => !(Math.hypot(x[i]! - rest.x, y[i]! - rest.y) >= reach);
    let to = settled;
    while (to < last && isWithin(to, FAR * legPx)) to++;
    let near = to;
    while (near > settled && !isWithin(near, distance)) near--;
    const from = Math.max(settled, indexAtOrBefore(times, times[near]! - REST_S));
    const departure = leavesRest(times, path.x, path.y, from, Math.min(last, Math.max(to, near + FEWEST_AWAY)), distance, PLACE_SD * legPx);
    return departure && { ...departure, isMiddle: middles.includes(path) };
  });
  const first = firstOf(departures.filter((one) => one !== null));
  const end = first === null ? stretch.end : Math.max(stretch.begin, indexAtOrBefore(times, first.t));
  const sd = first === null ? step : Math.max(SUREST_FRAMES * step, Math.hypot(first.sd, (DISTANCE_SD * legPx) / first.speed));
  return {
    firstMove: first === null ? { found: false, why: 'moment-not-found' } : { found: true, t: first.t, sd, source: 'detected' },
    set: { found: true, t: times[end]!, sd, source: 'detected' },
    still: [stretch.begin, end],
  };
}

interface Place {
  readonly x: number;
  readonly y: number;
}

interface Calm {
  readonly x: Float64Array;
  readonly y: Float64Array;
}

/** A path without the model's jitter: good for where a joint is, not for when it leaves. */
function calmed({ x, y }: Path, times: Float64Array, step: number): Calm {
  const odd = 2 * Math.max(1, Math.round(MEDIAN_HALF_WIDTH_S / step)) + 1;
  const calm = (values: Float64Array): Float64Array => localFitAll(times, medianFilter(values, odd), null, Math.max(CALM_HALF_WIDTH_S, 1.6 * step), 2).value;
  return { x: calm(x), y: calm(y) };
}

/** The last frames up to `last` in which no joint strays; null where there are no `width` frames of these. */
function stillStretch(calm: readonly Calm[], last: number, width: number, stray: number): { readonly begin: number; readonly end: number } | null {
  const strays = (a: number, b: number): boolean => calm.some(({ x, y }) => spread(x, a, b) + spread(y, a, b) >= stray);
  let end = last;
  while (end >= width && strays(end - width, end)) end--;
  if (end < width) return null;
  let begin = end - width;
  while (begin > 0 && !strays(begin - 1, end)) begin--;
  // A slow movement strays little in a short window: the stretch goes on to before it, where the joints were still where it begins.
  for (let pass = 0; pass < ONWARD_PASSES; pass++) {
    const rest = placesFrom(calm, begin, Math.min(end, begin + (width >> 1)));
    const isThere = (i: number): boolean => calm.every(({ x, y }, k) => !(Math.hypot(x[i]! - rest[k]!.x, y[i]! - rest[k]!.y) >= stray));
    while (begin > 0 && isThere(begin - 1)) begin--;
  }
  return { begin, end };
}

/** Where each joint is from one frame to another: medians. */
function placesFrom(calm: readonly Calm[], from: number, to: number): Place[] {
  return calm.map(({ x, y }) => ({ x: medianOf(x.subarray(from, to + 1)), y: medianOf(y.subarray(from, to + 1)) }));
}

interface JointDeparture extends Departure {
  /** The point is the middle of two joints. */
  readonly isMiddle: boolean;
}

/**
 * The first of some departures: of the instants that they give, each with those that may as well be it, averaged by how sure
 * they are, the one by which movement has surely begun. One joint that no other soon follows is a slip of the model, a middle of
 * two is none.
 */
function firstOf(departures: readonly JointDeparture[]): Departure | null {
  const isNoSlip = (one: JointDeparture): boolean =>
    one.isMiddle || departures.some((other) => other !== one && other.t - one.t < FOLLOWED_WITHIN_S + Math.hypot(one.sd, other.sd));
  const trusted = departures.filter(isNoSlip);
  const together = trusted.map((one) => meanOf(trusted.filter((other) => Math.abs(other.t - one.t) <= Math.hypot(one.sd, other.sd))));
  const surely = ({ t, sd }: Departure): number => t + 2 * sd;
  return together.reduce<Departure | null>((a, b) => (a !== null && surely(a) <= surely(b) ? a : b), null);
}

/** Departures of joints that leave together, each weighed by how sure it is. */
function meanOf(departures: readonly Departure[]): Departure {
  const weights = departures.map(({ sd }) => sd ** -2);
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const mean = (value: (one: Departure) => number): number => departures.reduce((sum, one, k) => sum + weights[k]! * value(one), 0) / total;
  return { t: mean(({ t }) => t), sd: total ** -0.5, speed: mean(({ speed }) => speed) };
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
