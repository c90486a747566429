import { degreesOf } from '../units/degrees.ts';
import type { Point } from '../units/point.ts';

/** Angle in degrees at `b` between the segments b→a and b→c: 180 straight, 0 folded flat; null when a segment has no length or a point is a gap. */
export function interiorAngleDeg(a: Point, b: Point, c: Point): number | null {
  return angleBetweenDeg(b, a, b, c);
}

/** Unsigned angle in degrees, 0 to 180, between the directions p→q and r→s; null when a segment has no length or a point is a gap. */
export function angleBetweenDeg(p: Point, q: Point, r: Point, s: Point): number | null {
  const ux = q.x - p.x;
  const uy = q.y - p.y;
  const vx = s.x - r.x;
  const vy = s.y - r.y;
  const lengths = Math.hypot(ux, uy) * Math.hypot(vx, vy);
  if (!(lengths > 0)) return null;
  return degreesOf(Math.atan2(Math.abs(ux * vy - uy * vx), ux * vx + uy * vy));
}
