import { interpolateCubic } from './interpolate.ts';
import { checkTimes, runsOf } from './runs.ts';
import { medianOf } from './spread.ts';
import { zeroLag } from './zero-lag.ts';

/**
 * The values low-passed without lag at `cutoffHz` on their own, possibly uneven times. Even times are filtered as they are;
 * uneven ones go, stretch by stretch, to an even grid of at least twice the median rate and back by cubic interpolation.
 * Gaps stay NaN. Where the clip is too slow for the cut-off (at or above 45 % of the frame rate) nothing can be removed and the
 * values come back unchanged. Throws RangeError unless the cut-off is positive and the times increase.
 */
export function smoothUneven(times: Float64Array, values: Float64Array, cutoffHz: number): Float64Array {
  checkTimes(times, values);
  return smoother(times, cutoffHz)(values);
}

/** smoothUneven for any number of values on the same times, which must increase. */
export function smoother(times: Float64Array, cutoffHz: number): (values: Float64Array) => Float64Array {
  if (!(cutoffHz > 0)) throw new RangeError(`cut-off must be positive, got ${cutoffHz}`);
  if (times.length < 3) return (values) => values.slice();
  const spacings = times.subarray(1).map((t, i) => t - times[i]!);
  const spacing = medianOf(spacings);
  if (cutoffHz >= 0.45 / spacing) return (values) => values.slice();
  if (spacings.every((s) => Math.abs(s - spacing) <= 0.01 * spacing)) {
    const sampleHz = (times.length - 1) / (times[times.length - 1]! - times[0]!);
    return (values) => zeroLag(values, sampleHz, cutoffHz);
  }
  return (values) => smoothOnGrid(times, values, spacing, cutoffHz);
}

function smoothOnGrid(times: Float64Array, values: Float64Array, spacing: number, cutoffHz: number): Float64Array {
  const smooth = values.slice();
  for (const run of runsOf(values)) {
    if (run.to - run.from < 3) continue;
    const runTimes = times.subarray(run.from, run.to);
    const runValues = values.subarray(run.from, run.to);
    const start = runTimes[0]!;
    const length = runTimes[runTimes.length - 1]! - start;
    // The slack keeps rounding from adding a step when the length is a whole number of spacings.
    const steps = Math.ceil((2 * length) / spacing - 1e-6);
    const step = length / steps;
    const grid = Float64Array.from({ length: steps + 1 }, (_, i) => start + i * step);
    const filtered = zeroLag(grid.map((t) => interpolateCubic(runTimes, runValues, t)), 1 / step, cutoffHz);
    smooth.set(runTimes.map((t) => interpolateCubic(grid, filtered, t)), run.from);
  }
  return smooth;
}
