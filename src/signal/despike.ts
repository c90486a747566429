import { localValueWithout } from './local-fit.ts';
import { checkTimes } from './runs.ts';
import { robustSd } from './spread.ts';

/** How hard despike looks. */
export interface DespikeOptions {
  /** Half width of the local quadratic in seconds; at least 4 other points must lie inside. */
  readonly halfWidthS: number;
  /** A point is a spike beyond this many robust standard deviations of all residuals; 5 by default (chosen: about 1 in a million for normal noise). */
  readonly threshold?: number;
  /** A residual up to this size is never a spike, in the unit of the values; 0 by default. */
  readonly floor?: number;
}

/**
 * The values with spikes turned into gaps (NaN), and the indices of the spikes in order. A point's residual is its distance
 * from a quadratic through its neighbours without itself; one spike spoils its neighbours' residuals, so only the worst of a
 * neighbourhood goes at a time, and the rest is judged anew.
 */
export function despike(
  times: Float64Array,
  values: Float64Array,
  options: DespikeOptions,
): { readonly values: Float64Array; readonly removed: readonly number[] } {
  checkTimes(times, values);
  const { halfWidthS, threshold = 5, floor = 0 } = options;
  const kept = values.slice();
  const removed: number[] = [];
  const residuals = kept.map((_, i) => residualWithout(times, kept, i, halfWidthS));
  if (!residuals.some((r) => Math.abs(r) > floor)) return { values: kept, removed };
  const least = Math.max(floor, 1e-9 * robustSd(values));
  for (;;) {
    const limit = Math.max(least, threshold * robustSd(residuals));
    const spikes = worstOfNeighbourhood(times, residuals, halfWidthS, limit);
    if (spikes.length === 0) break;
    for (const i of spikes) {
      kept[i] = Number.NaN;
      removed.push(i);
    }
    // Only the neighbours of what went have another residual now.
    for (const i of spikes) {
      for (let j = i; j >= 0 && times[i]! - times[j]! < halfWidthS; j -= 1) residuals[j] = residualWithout(times, kept, j, halfWidthS);
      for (let j = i + 1; j < times.length && times[j]! - times[i]! < halfWidthS; j += 1) residuals[j] = residualWithout(times, kept, j, halfWidthS);
    }
  }
  return { values: kept, removed: removed.sort((a, b) => a - b) };
}

function residualWithout(times: Float64Array, values: Float64Array, index: number, halfWidthS: number): number {
  const expected = localValueWithout(times, values, index, halfWidthS);
  return expected === null ? Number.NaN : values[index]! - expected;
}

function worstOfNeighbourhood(times: Float64Array, residuals: Float64Array, halfWidthS: number, limit: number): number[] {
  const found: number[] = [];
  residuals.forEach((r, i) => {
    if (!(Math.abs(r) > limit)) return;
    for (let j = i - 1; j >= 0 && times[i]! - times[j]! < halfWidthS; j -= 1) {
      if (Math.abs(residuals[j]!) >= Math.abs(r)) return;
    }
    for (let j = i + 1; j < times.length && times[j]! - times[i]! < halfWidthS; j += 1) {
      if (Math.abs(residuals[j]!) > Math.abs(r)) return;
    }
    found.push(i);
  });
  return found;
}
