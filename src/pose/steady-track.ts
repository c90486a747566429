import { despike } from '../signal/despike.ts';
import { fillGaps } from '../signal/fill-gaps.ts';
import { smoothUneven } from '../signal/smooth-uneven.ts';
import { LANDMARK_COUNT } from './landmarks.ts';
import type { PoseTrack } from './pose-track.ts';

/** Cut-off of the zero-lag filter in Hz. Chosen: feet in a hurdle move at up to 5 Hz; sprint studies use 6 to 12 Hz. */
const CUTOFF_HZ = 10;
/** Gaps up to this long are bridged, longer ones stay gaps, seconds. Chosen: three frames at 60 fps. */
const LONGEST_BRIDGE_S = 0.06;
/** Half width of the window in which a lone outlier is recognised, seconds. */
const SPIKE_HALF_WIDTH_S = 0.09;

/** Takes out lone outliers, bridges short gaps and smooths without lag, on the true timestamps; long gaps stay gaps. */
export function steadyTrack(track: PoseTrack): PoseTrack {
  const n = track.times.length;
  const xy = track.xy.slice();
  const line = new Float64Array(n);
  const floor = 0.01 * track.heightPx;
  for (let k = 0; k < 2 * LANDMARK_COUNT; k++) {
    for (let i = 0; i < n; i++) line[i] = track.xy[i * 2 * LANDMARK_COUNT + k]!;
    const clean = despike(track.times, line, { halfWidthS: SPIKE_HALF_WIDTH_S, floor }).values;
    const smooth = smoothUneven(track.times, fillGaps(track.times, clean, LONGEST_BRIDGE_S, 'cubic'), CUTOFF_HZ);
    for (let i = 0; i < n; i++) xy[i * 2 * LANDMARK_COUNT + k] = smooth[i]!;
  }
  return { ...track, xy };
}
