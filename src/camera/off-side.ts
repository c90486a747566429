import type { BodyTrack } from '../pose/body-track.ts';
import type { Direction } from '../starts/start.ts';
import { combinedDeg } from './combine-cues.ts';
import { growthCue, type Estimate } from './growth-cue.ts';
import type { Lens } from './lens.ts';
import { widthCues } from './width-cue.ts';

/** What the body needs to tell how far the camera stood off side-on. */
export interface SeenRun {
  readonly body: BodyTrack;
  readonly direction: Direction;
  readonly legPx: number;
  readonly widthPx: number;
  readonly lens: Lens;
  /** Clip seconds until which the body faces along the travel: the plant. */
  readonly plantS: number;
  /** Clip seconds until which the legs keep to the plane of travel: shortly before the hands. */
  readonly handsS: number;
  /** Upright frames needed to judge the body's width, 8 unless said; 1 for a still. */
  readonly fewestFrames?: number;
}

/** How far the camera was turned from side-on: positive when the right side of the picture lies farther away. */
export interface OffSide {
  readonly yawDeg: number;
  readonly sdDeg: number;
}

/** What the body alone says of the camera's yaw: growth of the legs along the run and separation of hips and shoulders, weighted by their sureness. Null when it cannot tell. */
export function offSideByBody(run: SeenRun): OffSide | null {
  const toDisplay = run.direction === 'right-to-left' ? -1 : 1;
  const place = [toDisplay, run.legPx, run.widthPx / 2, run.lens.focalPx] as const;
  const growth = growthCue(run.body, ...place, run.handsS);
  const cues: Estimate[] = [...(growth === null ? [] : [growth]), ...widthCues(run.body, ...place, run.plantS, run.fewestFrames)];
  const seen = combinedDeg(cues.map(({ value, sd }) => ({ value, sd: Math.hypot(sd, value * run.lens.relativeSd) })));
  return seen && { yawDeg: seen.value, sdDeg: seen.sd };
}
