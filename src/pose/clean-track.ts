import { despike } from '../signal/despike.ts';
import { fillGaps } from '../signal/fill-gaps.ts';
import { smoother } from '../signal/smooth-uneven.ts';
import { medianOf } from '../signal/spread.ts';
import { BODY_JOINTS, landmarkOf } from './body-track.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX } from './landmarks.ts';
import type { PoseTrack } from './pose-track.ts';

/** Cut-off of the zero-lag filter in Hz. Chosen: feet in a hurdle move at up to 5 Hz; sprint studies use 6 to 12 Hz. */
const CUTOFF_HZ = 10;
/** Gaps up to this long are bridged, longer ones stay gaps, seconds. Chosen: five frames at 60 fps. */
const LONGEST_BRIDGE_S = 0.09;
/** Half width of the window in which lone outliers are recognised, seconds, and at least so many frames. */
const SPIKE_HALF_WIDTH_S = 0.09;
const SPIKE_HALF_WIDTH_FRAMES = 3.5;
/** A point within this share of the picture's height of where its neighbours say is never an outlier. Chosen: half a foot. */
const SPIKE_FLOOR = 0.03;

/** The landmarks that the measures read. */
const READ = BODY_JOINTS.flatMap((joint) => [LANDMARK_INDEX[landmarkOf(joint, 'left')], LANDMARK_INDEX[landmarkOf(joint, 'right')]]);

/** Takes out lone outliers of the landmarks that the measures read, both coordinates together, and bridges short gaps; long gaps stay gaps, nothing is smoothed. */
export function cleanTrack(track: PoseTrack): PoseTrack {
  const { times } = track;
  if (times.length < 8) return track;
  const spacing = medianOf(times.subarray(1).map((t, i) => t - times[i]!));
  const options = {
    halfWidthS: Math.max(SPIKE_HALF_WIDTH_S, SPIKE_HALF_WIDTH_FRAMES * spacing),
    floor: SPIKE_FLOOR * track.heightPx,
  };
  const xy = track.xy.slice();
  for (const k of READ) {
    const lines = [0, 1].map((axis) => column(track, 2 * k + axis));
    const spikes = new Set(lines.flatMap((line) => despike(times, line, options).removed));
    lines.forEach((line, axis) => {
      for (const i of spikes) line[i] = NaN;
      write(xy, 2 * k + axis, fillGaps(times, line, LONGEST_BRIDGE_S, 'cubic'));
    });
  }
  return { ...track, xy };
}

/** Smooths every landmark without lag, on the true timestamps; gaps stay gaps. */
export function smoothTrack(track: PoseTrack): PoseTrack {
  const xy = track.xy.slice();
  const smoothed = smoother(track.times, CUTOFF_HZ);
  for (let k = 0; k < 2 * LANDMARK_COUNT; k++) write(xy, k, smoothed(column(track, k)));
  return { ...track, xy };
}

function column(track: PoseTrack, k: number): Float64Array {
  const values = new Float64Array(track.times.length);
  for (let i = 0; i < values.length; i++) values[i] = track.xy[i * 2 * LANDMARK_COUNT + k]!;
  return values;
}

function write(xy: Float32Array, k: number, values: Float64Array): void {
  for (let i = 0; i < values.length; i++) xy[i * 2 * LANDMARK_COUNT + k] = values[i]!;
}
