import { normalShareBelow } from '../units/normal-distribution.ts';
import { kendallTail, kendallVariance, tieSizesOf } from './kendall.ts';

/** Test for a rise or fall over the order of the values. */
export interface MannKendall {
  /** Pairs that rise less pairs that fall. */
  readonly s: number;
  readonly variance: number;
  /** Standard score with continuity correction; 0 when s is 0. */
  readonly z: number;
  /** Two-sided probability of an s at least this far from 0 without any trend, 0 to 1. */
  readonly p: number;
  /** `exact` counts orders (no ties, up to 40 values); `normal` uses z. */
  readonly method: 'exact' | 'normal';
}

/** Mann–Kendall trend test of values in order (Mann 1945; Kendall 1975). Null below 3 values or when all are equal. */
export function mannKendall(values: readonly number[]): MannKendall | null {
  const count = values.length;
  let s = 0;
  for (let i = 0; i < count; i += 1) {
    for (let j = i + 1; j < count; j += 1) s += Math.sign(values[j]! - values[i]!);
  }
  const ties = tieSizesOf(values);
  const variance = kendallVariance(count, ties);
  if (count < 3 || !(variance > 0)) return null;
  const z = (s - Math.sign(s)) / Math.sqrt(variance);
  const isExact = ties.length === 0 && count <= 40;
  const tail = isExact ? kendallTail(count, Math.abs(s)) : 1 - normalShareBelow(Math.abs(z));
  return { s, variance, z, p: Math.min(1, 2 * tail), method: isExact ? 'exact' : 'normal' };
}
