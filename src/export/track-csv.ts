import { LANDMARKS, LANDMARK_COUNT } from '../pose/landmarks.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import { csv } from './csv.ts';
import type { Cell, CsvStyle } from './csv.ts';

/** A track as a table, one row a frame: time in seconds, then x and y in pixels (y down), score 0 to 1 and standard deviation in pixels of every landmark; gaps are empty cells. */
export function trackCsv(track: PoseTrack, style: CsvStyle = 'international'): string {
  const header = ['time (s)', ...LANDMARKS.flatMap((name) => [`${name} x (px)`, `${name} y (px)`, `${name} score`, `${name} sd (px)`])];
  const rows = Array.from(track.times, (t, frame): readonly Cell[] => [
    t,
    ...LANDMARKS.flatMap((_, landmark) => {
      const at = frame * LANDMARK_COUNT + landmark;
      return [finite(track.xy[2 * at]), finite(track.xy[2 * at + 1]), finite(track.score[at]), finite(track.sd[at])];
    }),
  ]);
  return csv(header, rows, style);
}

function finite(value: number | undefined): number | null {
  return value !== undefined && Number.isFinite(value) ? value : null;
}
