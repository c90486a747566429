import { medianOf } from '../signal/spread.ts';
import { normalQuantile } from '../units/normal-distribution.ts';
import { kendallTail, kendallVariance, tieSizesOf } from './kendall.ts';

/** A straight trend that a few odd values cannot bend. */
export interface TheilSen {
  /** Median of the slopes of all pairs. */
  readonly slope: number;
  /** Interval of the slope that holds at least 95 %; null where so few values cannot give one (below 5). */
  readonly ci95: readonly [number, number] | null;
  /** Median of y − slope · x. */
  readonly intercept: number;
}

/**
 * Theil–Sen slope of y over x with Sen's interval (Sen 1968, J Am Stat Assoc 63:1379–1389): exact order counting without ties
 * and up to 40 values, else the normal approximation. Null below two different x. Throws RangeError when the lengths differ.
 */
export function theilSen(x: readonly number[], y: readonly number[]): TheilSen | null {
  if (x.length !== y.length) throw new RangeError(`${x.length} x for ${y.length} y`);
  const slopes: number[] = [];
  for (let i = 0; i < x.length; i += 1) {
    for (let j = i + 1; j < x.length; j += 1) {
      const dx = x[j]! - x[i]!;
      if (dx !== 0) slopes.push((y[j]! - y[i]!) / dx);
    }
  }
  if (slopes.length === 0) return null;
  slopes.sort((a, b) => a - b);
  const slope = medianOf(slopes);
  return { slope, ci95: slopeInterval(slopes, x, y), intercept: medianOf(y.map((v, i) => v - slope * x[i]!)) };
}

function slopeInterval(slopes: readonly number[], x: readonly number[], y: readonly number[]): readonly [number, number] | null {
  const count = x.length;
  // Below 5 values even the whole range of slopes holds less than 95 %: 1 − 2/n! is 92 % for 4.
  if (count < 5) return null;
  const ties = [...tieSizesOf(x), ...tieSizesOf(y)];
  let low: number;
  let high: number;
  if (ties.length === 0 && count <= 40) {
    const pairs = slopes.length;
    let s = pairs;
    while (kendallTail(count, s - 2) <= 0.025) s -= 2;
    low = (pairs - s + 2) / 2 - 1;
    high = pairs - 1 - low;
  } else {
    const reach = normalQuantile(0.975) * Math.sqrt(kendallVariance(count, ties));
    low = Math.max(Math.round((slopes.length - reach) / 2) - 1, 0);
    high = Math.min(Math.round((slopes.length + reach) / 2), slopes.length - 1);
  }
  return [slopes[low]!, slopes[high]!];
}
