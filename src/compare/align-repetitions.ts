import type { MomentId, Moments } from '../phases/moment.ts';
import { MOMENT_IDS } from '../phases/moment.ts';
import { valuesAt } from '../signal/resample.ts';
import type { WhyNot } from '../units/why-not.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** How two reps lie over each other when one moment is made to coincide. */
export interface Alignment {
  readonly at: MomentId;
  /** Seconds to add to a time of the first clip to get the same instant in the second. */
  readonly offsetS: number;
  /** One standard deviation of the offset. */
  readonly sdS: number;
  /** For every moment that both reps have: how much later it comes in the second rep than in the first, counted from the common moment; 95 % interval. */
  readonly moments: readonly { readonly id: MomentId; readonly laterS: number; readonly ci95: readonly [number, number] }[];
}

/** Lays two reps over each other at one moment; the reason when a rep lacks it. */
export function alignRepetitions(
  first: Moments,
  second: Moments,
  at: MomentId,
): { readonly aligned: true; readonly value: Alignment } | { readonly aligned: false; readonly why: WhyNot } {
  const [a, b] = [first[at], second[at]];
  if (!a.found) return { aligned: false, why: a.why };
  if (!b.found) return { aligned: false, why: b.why };
  const moments = MOMENT_IDS.flatMap((id) => {
    const [p, q] = [first[id], second[id]];
    if (!p.found || !q.found) return [];
    const laterS = q.t - b.t - (p.t - a.t);
    const reach = id === at ? 0 : Z95 * Math.hypot(p.sd, q.sd, a.sd, b.sd);
    return [{ id, laterS, ci95: [laterS - reach, laterS + reach] as const }];
  });
  return { aligned: true, value: { at, offsetS: b.t - a.t, sdS: Math.hypot(a.sd, b.sd), moments } };
}

/** The second rep's signal at the first rep's times, both laid over each other; NaN where the second has a gap or no picture. */
export function secondAtFirst(alignment: Alignment, firstTimes: Float64Array, secondTimes: Float64Array, secondValues: Float64Array): Float64Array {
  return valuesAt(secondTimes, secondValues, firstTimes.map((t) => t + alignment.offsetS));
}
