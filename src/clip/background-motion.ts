import { followedBy, moved, STILL, type Motion } from '../geometry/motion.ts';
import type { BackgroundMotion } from './picture-quality.ts';

/** Where the background is known for less than this share of the time, nothing is said of it. Chosen. */
const LEAST_KNOWN = 0.75;
/** It is known between two frames in which it was found this near to one another, seconds: two looks. */
const LONGEST_BRIDGE_S = 0.1;

/**
 * The background's motion since the first frame out of the steps from frame to frame, frames × 3 as in Followed; frames in
 * which it was not found are bridged evenly. Null where it is known for less than three quarters of the time.
 */
export function backgroundMotion(steps: ArrayLike<number>, times: Float64Array, picture: { readonly widthPx: number; readonly heightPx: number }): Required<BackgroundMotion> | null {
  const frames = times.length;
  const known: { readonly frame: number; readonly motion: Motion }[] = [];
  let total: Motion = STILL;
  for (let frame = 0; frame < frames; frame++) {
    const [x, y, turnRad] = [steps[frame * 3]!, steps[frame * 3 + 1]!, steps[frame * 3 + 2]!];
    if (Number.isNaN(x)) continue;
    total = followedBy(total, { x, y, turnRad });
    known.push({ frame, motion: total });
  }
  const gaps = known.slice(1).map(({ frame }, i) => times[frame]! - times[known[i]!.frame]!);
  const knownS = gaps.reduce((sum, gap) => sum + (gap <= LONGEST_BRIDGE_S ? gap : 0), 0);
  if (known.length === 0 || knownS < LEAST_KNOWN * (times[frames - 1]! - times[0]!)) return null;
  const middle = { x: picture.widthPx / 2, y: picture.heightPx / 2 };
  const background = { xPx: new Float32Array(frames), yPx: new Float32Array(frames), turnRad: new Float32Array(frames) };
  let next = 0;
  for (let frame = 0; frame < frames; frame++) {
    while (next < known.length && known[next]!.frame < frame) next++;
    const after = known[next] ?? known.at(-1)!;
    const before = after.frame <= frame || next === 0 ? after : known[next - 1]!;
    const share = after.frame === before.frame ? 0 : (times[frame]! - times[before.frame]!) / (times[after.frame]! - times[before.frame]!);
    const [from, to] = [moved(middle, before.motion), moved(middle, after.motion)];
    background.xPx[frame] = (1 - share) * from.x + share * to.x - middle.x;
    background.yPx[frame] = (1 - share) * from.y + share * to.y - middle.y;
    background.turnRad[frame] = (1 - share) * before.motion.turnRad + share * after.motion.turnRad;
  }
  return background;
}

/** A motion that can be believed; null for none, and for one of an engine that added up errors. */
export function believedMotion(background: BackgroundMotion | undefined): Required<BackgroundMotion> | null {
  const { turnRad } = background ?? {};
  return background === undefined || turnRad === undefined ? null : { ...background, turnRad };
}

/** The farthest that the middle of the background moved, display pixels; null where no motion can be believed. */
export function farthestShiftPx(background: BackgroundMotion | undefined): number | null {
  const believed = believedMotion(background);
  return believed === null ? null : Math.max(0, ...believed.xPx.map((x, i) => Math.hypot(x, believed.yPx[i]!)));
}

/** The motion from the first picture to frame `frame` as one of display pixels about their origin. */
export function motionAt({ xPx, yPx, turnRad }: Required<BackgroundMotion>, frame: number, picture: { readonly widthPx: number; readonly heightPx: number }): Motion {
  const middle = { x: picture.widthPx / 2, y: picture.heightPx / 2 };
  const turn: Motion = { ...STILL, turnRad: turnRad[frame]! };
  const there = moved(middle, turn);
  return { x: middle.x + xPx[frame]! - there.x, y: middle.y + yPx[frame]! - there.y, turnRad: turn.turnRad };
}
