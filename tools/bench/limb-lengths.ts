import { LANDMARK_INDEX, type LandmarkName } from '../../src/pose/landmarks.ts';
import { landmarkAt, type PoseTrack } from '../../src/pose/pose-track.ts';
import { medianOf, robustSd } from '../../src/signal/spread.ts';
import type { Side } from '../../src/starts/start.ts';

/** What a track says of a body whose bones cannot change: a check on people of whom no truth is known. */
export interface LimbLengths {
  readonly side: Side;
  /** Frames in which hip, knee and ankle were seen. */
  readonly frames: number;
  /** Robust spread of the shank's length over its median: 0 for an exact track of a body that stays side-on. */
  readonly shankSpread: number;
  /** Thigh over shank, both where they look longest (nine tenths of the frames are shorter): foreshortening only shortens. */
  readonly thighToShank: number;
}

/** Thigh over shank of adults: 0.245 / 0.246 of height (Drillis and Contini 1966), 0.2425 / 0.2493 (de Leva 1996, men). */
export const THIGH_TO_SHANK = { drillisContini: 0.245 / 0.246, deLeva: 0.2425 / 0.2493 } as const;

/** Limb lengths of both legs; NaN where a leg was never seen. */
export function limbLengths(track: PoseTrack): readonly LimbLengths[] {
  return (['left', 'right'] as const).map((side) => {
    const length = (from: LandmarkName, to: LandmarkName): number[] => Array.from(track.times.keys(), (frame) => {
      const [a, b] = [landmarkAt(track, frame, LANDMARK_INDEX[from]), landmarkAt(track, frame, LANDMARK_INDEX[to])];
      return Math.hypot(a.x - b.x, a.y - b.y);
    }).filter(Number.isFinite);
    const shank = length(`${side}Knee`, `${side}Ankle`);
    const thigh = length(`${side}Hip`, `${side}Knee`);
    return { side, frames: shank.length, shankSpread: robustSd(shank) / medianOf(shank), thighToShank: longest(thigh) / longest(shank) };
  });
}

function longest(lengths: readonly number[]): number {
  return lengths.toSorted((a, b) => a - b)[Math.floor(0.9 * (lengths.length - 1))] ?? NaN;
}
