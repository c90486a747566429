import { interpolateCubic } from './interpolate.ts';
import { checkTimes, runsOf } from './runs.ts';

/**
 * The values with short gaps filled: those whose good neighbours lie at most `maxGapS` seconds apart. Longer gaps and gaps at
 * the ends stay NaN. `linear` joins the neighbours; `cubic` lays a cubic through two points on each side (exact for cubics),
 * and falls back to linear where a side has only one.
 */
export function fillGaps(times: Float64Array, values: Float64Array, maxGapS: number, method: 'linear' | 'cubic'): Float64Array {
  checkTimes(times, values);
  const filled = values.slice();
  const runs = runsOf(values);
  for (let r = 1; r < runs.length; r += 1) {
    const before = runs[r - 1]!;
    const after = runs[r]!;
    const left = before.to - 1;
    const right = after.from;
    if (times[right]! - times[left]! > maxGapS) continue;
    const isCubic = method === 'cubic' && before.to - before.from >= 2 && after.to - after.from >= 2;
    const at = isCubic ? [left - 1, left, right, right + 1] : [left, right];
    const knotTimes = Float64Array.from(at, (i) => times[i]!);
    const knotValues = Float64Array.from(at, (i) => values[i]!);
    for (let i = left + 1; i < right; i += 1) filled[i] = interpolateCubic(knotTimes, knotValues, times[i]!);
  }
  return filled;
}
