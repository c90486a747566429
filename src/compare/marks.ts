import { drift } from './drift.ts';
import type { Drift, NumberedValue } from './drift.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** The floor on which a pass must fit; all in metres along the travel from one zero of the coach's choice. */
export interface FloorPlan {
  /** Where the athlete's toe stands now. */
  readonly markAtM: number;
  /** The edge of the mat at the far end. */
  readonly edgeAtM: number;
  /** From the hands of the round-off to the end of the landing, as the coach measured it. */
  readonly passLengthM: number;
  /** One standard deviation of that length, 0 or more. */
  readonly passLengthSdM: number;
  /** Room to keep free before the edge, 0 or more. */
  readonly keepFreeM: number;
}

/** What the marks say about the next pass. */
export interface MarkAdvice {
  /** Where the next pass is expected to end, with an interval that holds it 19 times in 20. */
  readonly endsAtM: number;
  readonly endsCi95: readonly [number, number];
  /** 'fits': the whole interval keeps free of the edge; 'too-close': the interval reaches into it; 'misses': the expected end does. */
  readonly verdict: 'fits' | 'too-close' | 'misses';
  /** Where to put the mark so that 39 passes in 40 keep free of the edge. */
  readonly suggestedMarkAtM: number;
  /** Where the mark could go so that the expected end (upper value) or the whole interval (lower value) just keeps free. */
  readonly suggestedCi95: readonly [number, number];
  /** Suggested less present mark: positive = forward, toward the travel. */
  readonly moveByM: number;
}

/** How the distance start toe → hands holds over a session (values of `mark.toHands` in metres). Throws RangeError on any other unit. */
export function marks(values: readonly NumberedValue[]): Drift | null {
  const other = values.find((v) => v.unit !== 'm');
  if (other !== undefined) throw new RangeError(`marks are in metres, got ${other.unit}`);
  return drift(values);
}

/** Whether the next pass fits on the floor, and where the mark belongs; null while the spread of the marks is not known (fewer than two reps). Throws RangeError when a length is negative. */
export function markAdvice(held: Drift, floor: FloorPlan): MarkAdvice | null {
  if (floor.passLengthM < 0 || floor.passLengthSdM < 0 || floor.keepFreeM < 0) throw new RangeError('lengths must be 0 or more');
  if (held.next === null) return null;
  const { value, ci95 } = held.next;
  const reach = Math.hypot((ci95[1] - ci95[0]) / 2, Z95 * floor.passLengthSdM);
  const endsAtM = floor.markAtM + value + floor.passLengthM;
  const limit = floor.edgeAtM - floor.keepFreeM;
  const loosest = limit - value - floor.passLengthM;
  return {
    endsAtM,
    endsCi95: [endsAtM - reach, endsAtM + reach],
    verdict: endsAtM > limit ? 'misses' : endsAtM + reach > limit ? 'too-close' : 'fits',
    suggestedMarkAtM: loosest - reach,
    suggestedCi95: [loosest - reach, loosest],
    moveByM: loosest - reach - floor.markAtM,
  };
}
