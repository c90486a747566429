import { tQuantile } from '../units/student-t.ts';
import { meanOf, varianceOf } from './mean-and-spread.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** Agreement of two ways to measure the same thing. */
export interface BlandAltman {
  /** Mean of first − second. */
  readonly bias: number;
  readonly biasCi95: readonly [number, number];
  /** Standard deviation of the differences. */
  readonly sd: number;
  /** bias ± 1.96 sd: where 95 % of differences lie. */
  readonly limits: readonly [number, number];
}

/** Bland–Altman limits of agreement of pairs (Bland & Altman 1986, Lancet 327:307–310); null below two pairs. Throws RangeError when the lengths differ. */
export function blandAltman(first: readonly number[], second: readonly number[]): BlandAltman | null {
  if (first.length !== second.length) throw new RangeError(`${first.length} first for ${second.length} second values`);
  const count = first.length;
  if (count < 2) return null;
  const differences = first.map((v, i) => v - second[i]!);
  const bias = meanOf(differences);
  const sd = Math.sqrt(varianceOf(differences));
  const reach = (tQuantile(0.975, count - 1) * sd) / Math.sqrt(count);
  return { bias, biasCi95: [bias - reach, bias + reach], sd, limits: [bias - Z95 * sd, bias + Z95 * sd] };
}
