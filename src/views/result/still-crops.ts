import { frameShownAt } from '../../overlay/scene.ts';
import { MOMENT_IDS, type MomentId } from '../../phases/moment.ts';
import { LANDMARK_COUNT } from '../../pose/landmarks.ts';
import type { Reading } from '../../reading/reading.ts';

/** A square of the picture in display pixels; it may reach beyond the picture's edge. */
export interface Crop {
  readonly x: number;
  readonly y: number;
  readonly sidePx: number;
}

/** Room around the body, as a part of its own size; chosen: hands and feet keep clear of the edge. */
const ROOM = 0.14;

/** One square around the athlete for each moment found, all of the same size so that the shapes can be compared. */
export function stillCrops(reading: Reading): ReadonlyMap<MomentId, Crop> {
  const { track, moments } = reading;
  const boxes = new Map<MomentId, { x: number; y: number; side: number }>();
  for (const id of MOMENT_IDS) {
    const moment = moments[id];
    const frame = moment.found ? frameShownAt(track, moment.t) : null;
    if (frame === null) continue;
    let left = Infinity;
    let right = -Infinity;
    let top = Infinity;
    let bottom = -Infinity;
    for (let landmark = 0; landmark < LANDMARK_COUNT; landmark += 1) {
      const x = track.xy[(frame * LANDMARK_COUNT + landmark) * 2];
      const y = track.xy[(frame * LANDMARK_COUNT + landmark) * 2 + 1];
      if (x === undefined || y === undefined || !Number.isFinite(x) || !Number.isFinite(y)) continue;
      left = Math.min(left, x);
      right = Math.max(right, x);
      top = Math.min(top, y);
      bottom = Math.max(bottom, y);
    }
    if (right < left) continue;
    boxes.set(id, { x: (left + right) / 2, y: (top + bottom) / 2, side: Math.max(right - left, bottom - top) });
  }
  const sidePx = Math.max(...[...boxes.values()].map((box) => box.side), 1) * (1 + 2 * ROOM);
  return new Map([...boxes].map(([id, box]) => [id, { x: box.x - sidePx / 2, y: box.y - sidePx / 2, sidePx }]));
}
