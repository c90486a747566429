import { medianOf } from '../signal/spread.ts';
import type { BodyTrack, Limbs } from './body-track.ts';

/** A leg bent more than this is left out: its segments may point out of the picture plane. Chosen. */
const STRAIGHT_ENOUGH_DEG = 120;
/** Landmarks scored lower are left out. Chosen. */
const SCORE_FLOOR = 0.3;

/**
 * Thigh plus shank of the athlete in pixels: median over both legs and all frames in which the leg is near the picture
 * plane (hardly bent and well seen). NaN when no leg was ever seen.
 */
export function legLengthPx(body: BodyTrack): number {
  const straight: number[] = [];
  const any: number[] = [];
  for (const limbs of [body.left, body.right]) {
    for (let i = 0; i < body.times.length; i++) {
      const leg = legAt(limbs, i);
      if (leg === null) continue;
      any.push(leg.lengthPx);
      if (leg.spanPx > leg.lengthPx * Math.sin((STRAIGHT_ENOUGH_DEG / 2) * (Math.PI / 180))) straight.push(leg.lengthPx);
    }
  }
  return medianOf(straight.length >= 5 ? straight : any);
}

function legAt(limbs: Limbs, i: number): { lengthPx: number; spanPx: number } | null {
  if (Math.min(limbs.hip.score[i]!, limbs.knee.score[i]!, limbs.ankle.score[i]!) < SCORE_FLOOR) return null;
  const hx = limbs.hip.x[i]!, hy = limbs.hip.y[i]!, kx = limbs.knee.x[i]!, ky = limbs.knee.y[i]!, ax = limbs.ankle.x[i]!, ay = limbs.ankle.y[i]!;
  const lengthPx = Math.hypot(kx - hx, ky - hy) + Math.hypot(ax - kx, ay - ky);
  if (!Number.isFinite(lengthPx)) return null;
  return { lengthPx, spanPx: Math.hypot(ax - hx, ay - hy) };
}
