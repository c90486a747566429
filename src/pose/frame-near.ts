import { indexAtOrBefore } from '../signal/interpolate.ts';

/** Index of the frame nearest to `t`, within the track. Times strictly increasing, at least one. */
export function frameNear(times: Float64Array, t: number): number {
  const before = Math.max(0, indexAtOrBefore(times, t));
  const after = Math.min(times.length - 1, before + 1);
  return t - times[before]! <= times[after]! - t ? before : after;
}
