import { medianOf } from './spread.ts';

/** How many gaps on either side of an instant say how dense the frames are there. Chosen. */
const GAPS_AROUND = 3;

/** Median time from one frame to the next in seconds, of the whole clip or of the frames around `near`; NaN with fewer than two frames. */
export function frameSpacing(times: Float64Array, near?: number): number {
  if (near === undefined) return medianOf(times.subarray(1).map((t, i) => t - times[i]!));
  const after = times.findIndex((t) => t >= near);
  const middle = after < 0 ? times.length - 1 : after;
  return frameSpacing(times.subarray(Math.max(0, middle - GAPS_AROUND), middle + GAPS_AROUND + 1));
}
