import { followedBy, moved, STILL, type Motion } from '../geometry/motion.ts';
import type { BackgroundMotion } from './picture-quality.ts';

/** Where the background is found in fewer frames than this share, nothing is said of it. Chosen. */
const LEAST_KNOWN = 0.5;

/**
 * The background's motion since the first frame out of the steps from frame to frame, frames × 3 as in Followed; frames in
 * which it could not be told are bridged evenly. Null where that is most of them.
 */
export function backgroundMotion(steps: ArrayLike<number>, picture: { readonly widthPx: number; readonly heightPx: number }): Required<BackgroundMotion> | null {
  const frames = Math.floor(steps.length / 3);
  const known: { readonly frame: number; readonly motion: Motion }[] = [];
  let total: Motion = STILL;
  for (let frame = 0; frame < frames; frame++) {
    const [x, y, turnRad] = [steps[frame * 3]!, steps[frame * 3 + 1]!, steps[frame * 3 + 2]!];
    if (Number.isNaN(x)) continue;
    total = followedBy(total, { x, y, turnRad });
    known.push({ frame, motion: total });
  }
  if (known.length < LEAST_KNOWN * frames) return null;
  const middle = { x: picture.widthPx / 2, y: picture.heightPx / 2 };
  const background = { xPx: new Float32Array(frames), yPx: new Float32Array(frames), turnRad: new Float32Array(frames) };
  let next = 0;
  for (let frame = 0; frame < frames; frame++) {
    while (next < known.length && known[next]!.frame < frame) next++;
    const after = known[next] ?? known.at(-1)!;
    const before = after.frame <= frame || next === 0 ? after : known[next - 1]!;
    const share = after.frame === before.frame ? 0 : (frame - before.frame) / (after.frame - before.frame);
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

/** The farthest that the middle of the background moved, display pixels. */
export function farthestShiftPx({ xPx, yPx }: Pick<BackgroundMotion, 'xPx' | 'yPx'>): number {
  return Math.max(0, ...xPx.map((x, i) => Math.hypot(x, yPx[i]!)));
}

/** The motion from the first picture to frame `frame` as one of display pixels about their origin. */
export function motionAt({ xPx, yPx, turnRad }: Required<BackgroundMotion>, frame: number, picture: { readonly widthPx: number; readonly heightPx: number }): Motion {
  const middle = { x: picture.widthPx / 2, y: picture.heightPx / 2 };
  const turn: Motion = { ...STILL, turnRad: turnRad[frame]! };
  const there = moved(middle, turn);
  return { x: middle.x + xPx[frame]! - there.x, y: middle.y + yPx[frame]! - there.y, turnRad: turn.turnRad };
}
