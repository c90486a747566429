import { difference, repValueOf, type Alignment } from '../../compare/index.ts';
import type { Difference } from '../../compare/index.ts';
import { LANDMARK_INDEX } from '../../pose/landmarks.ts';
import { landmarkAt } from '../../pose/pose-track.ts';
import { frameShownAt } from '../../overlay/scene.ts';
import type { Reading } from '../../reading/reading.ts';
import { MEASURE_IDS, type MeasureId, type MeasureUnit } from '../../shapes/measure.ts';

/** One measure of two reps. */
export interface SideMeasure {
  readonly id: MeasureId;
  readonly unit: MeasureUnit;
  readonly first: number;
  readonly second: number;
  /** Second − first; the interval holds the error of the two measurements, nothing of the athletes' scatter. */
  readonly difference: Difference;
}

/** Measures that both reps have in one unit, the clearest differences first, then those that do not show, in their usual order. */
export function sideMeasures(first: Reading, second: Reading): readonly SideMeasure[] {
  const all = MEASURE_IDS.flatMap((id): SideMeasure[] => {
    const [a, b] = [repValueOf(first.measures[id]), repValueOf(second.measures[id])];
    if (a === null || b === null || a.unit !== b.unit || a.unit === 'side') return [];
    const found = difference([a], [b], { fasterWhen: 'neither' });
    return found === null ? [] : [{ id, unit: a.unit, first: a.value, second: b.value, difference: found }];
  });
  const clear = (each: SideMeasure) => (each.difference.verdict === 'no-difference' ? 0 : Math.abs(each.difference.value) / Math.max(each.difference.ci95[1] - each.difference.value, 1e-9));
  return all.toSorted((a, b) => clear(b) - clear(a) || MEASURE_IDS.indexOf(a.id) - MEASURE_IDS.indexOf(b.id));
}

/**
 * The steps of the common control in seconds from the common moment, ascending: every frame of the rep that was filmed at more
 * frames a second (so that each step shows it one frame on), and those of the other where it begins earlier or ends later.
 */
export function commonTimes(first: Reading, second: Reading, firstAtS: number, alignment: Alignment): readonly number[] {
  const one = startTimes(first).map((t) => t - firstAtS);
  const two = startTimes(second).map((t) => t - firstAtS - alignment.offsetS);
  const [fine, coarse] = spacingOf(one) <= spacingOf(two) ? [one, two] : [two, one];
  const room = spacingOf(fine) / 2;
  const [from = Infinity, to = -Infinity] = [fine[0], fine.at(-1)];
  return [...coarse.filter((t) => t < from - room), ...fine, ...coarse.filter((t) => t > to + room)];
}

/** Mean seconds between frames; Infinity below two frames. */
function spacingOf(times: readonly number[]): number {
  const [from, to] = [times[0], times.at(-1)];
  return from === undefined || to === undefined || times.length < 2 ? Infinity : (to - from) / (times.length - 1);
}

/** Seconds shown before the set and after the hands; chosen: enough to see where the start comes from and goes to. */
const ROOM_S = 0.15;

/** Frame times of the start itself: from the set (or the first movement) to the hands, with a little room. */
function startTimes(reading: Reading): readonly number[] {
  const { set, firstMove, hands } = reading.moments;
  const from = set.found ? set.t : firstMove.found ? firstMove.t : -Infinity;
  const to = hands.found ? hands.t : Infinity;
  return [...reading.track.times].filter((t) => t >= from - ROOM_S && t <= to + ROOM_S);
}

/** The time of the frame after or before the one that is shown at a time, the nearest; the ends hold. Without any frame the time itself. */
export function stepTo(times: readonly number[], t: number, by: 1 | -1): number {
  const shown = times.reduce((best, each, i) => (Math.abs(each - t) < Math.abs((times[best] ?? Infinity) - t) ? i : best), 0);
  return times[Math.min(Math.max(shown + by, 0), times.length - 1)] ?? t;
}

/** Middle of the hips in picture pixels at a clip time; null where the athlete was not seen. */
export function hipsAt(reading: Reading, t: number): { readonly x: number; readonly y: number } | null {
  const frame = frameShownAt(reading.track, t);
  if (frame === null) return null;
  const left = landmarkAt(reading.track, frame, LANDMARK_INDEX.leftHip);
  const right = landmarkAt(reading.track, frame, LANDMARK_INDEX.rightHip);
  const x = (left.x + right.x) / 2;
  return Number.isFinite(x) ? { x, y: (left.y + right.y) / 2 } : null;
}

/** How far the hips move over a rep in leg lengths behind and ahead of where they are at a time: the floor that a stage must show. */
export function travelInLegs(reading: Reading, t: number): readonly [number, number] {
  const at = hipsAt(reading, t);
  if (at === null) return [-2, 2];
  const turn = reading.direction.value === 'right-to-left' ? -1 : 1;
  let [low, high] = [0, 0];
  for (const time of startTimes(reading)) {
    const hips = hipsAt(reading, time);
    if (hips === null) continue;
    const legs = (turn * (hips.x - at.x)) / reading.legLengthPx;
    low = Math.min(low, legs);
    high = Math.max(high, legs);
  }
  return [low, high];
}
