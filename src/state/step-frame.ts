import type { PoseTrack } from '../pose/pose-track.ts';
import type { Playhead } from './playhead.ts';

/** Index of the frame whose time is nearest to clip second t; −1 in an empty track. */
export function nearestFrame(times: Float64Array, t: number): number {
  let best = -1;
  let distance = Infinity;
  for (let index = 0; index < times.length; index += 1) {
    const away = Math.abs((times[index] ?? Infinity) - t);
    if (away < distance) {
      best = index;
      distance = away;
    }
  }
  return best;
}

/** Shows the frame that lies so many frames of the track after the one on screen; stays inside the track. */
export function stepFrame(playhead: Playhead, track: PoseTrack, frames: number): void {
  const from = nearestFrame(track.times, playhead.now().t);
  const to = Math.min(Math.max(from + frames, 0), track.times.length - 1);
  const t = track.times[to];
  if (t !== undefined) playhead.seek(t);
}
