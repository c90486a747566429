import type { Point } from '../units/point.ts';

/** Distance between two points in their own unit, 0 or more; NaN when a coordinate is a gap. */
export function distance(a: Point, b: Point): number {
  return Math.hypot(b.x - a.x, b.y - a.y);
}
