import { interpolateCubic } from './interpolate.ts';
import { checkTimes, runsOf } from './runs.ts';

/**
 * The values on an even grid of `sampleHz` that starts at the first time, by cubic interpolation inside each stretch without
 * gaps. Grid points inside a gap are NaN; nothing is extrapolated. Throws RangeError unless sampleHz is positive.
 */
export function resample(times: Float64Array, values: Float64Array, sampleHz: number): { readonly times: Float64Array; readonly values: Float64Array } {
  checkTimes(times, values);
  if (!(sampleHz > 0)) throw new RangeError(`sample rate must be positive, got ${sampleHz}`);
  if (times.length === 0) return { times: new Float64Array(0), values: new Float64Array(0) };
  const start = times[0]!;
  // A grid point that rounding pushes past the end still counts.
  const count = Math.floor((times[times.length - 1]! - start) * sampleHz + 1e-6) + 1;
  const grid = Float64Array.from({ length: count }, (_, i) => start + i / sampleHz);
  return { times: grid, values: valuesAt(times, values, grid) };
}

/** The values at other times by cubic interpolation inside each stretch without gaps; NaN in a gap and outside. `at` increasing. */
export function valuesAt(times: Float64Array, values: Float64Array, at: Float64Array): Float64Array {
  checkTimes(times, values);
  const result = new Float64Array(at.length).fill(Number.NaN);
  let next = 0;
  for (const run of runsOf(values)) {
    const runTimes = times.subarray(run.from, run.to);
    const runValues = values.subarray(run.from, run.to);
    const slack = 1e-9;
    while (next < at.length && at[next]! < runTimes[0]! - slack) next += 1;
    for (; next < at.length && at[next]! <= runTimes[runTimes.length - 1]! + slack; next += 1) {
      result[next] = interpolateCubic(runTimes, runValues, at[next]!);
    }
  }
  return result;
}
