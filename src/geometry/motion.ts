import type { Point } from '../units/point.ts';

/** A turn about the origin, radians from x toward y, and then a shift; no stretch. */
export interface Motion {
  readonly x: number;
  readonly y: number;
  readonly turnRad: number;
}

/** No motion. */
export const STILL: Motion = { x: 0, y: 0, turnRad: 0 };

/** Where a point comes to lie. */
export function moved(point: Point, { x, y, turnRad }: Motion): Point {
  const [cos, sin] = [Math.cos(turnRad), Math.sin(turnRad)];
  return { x: cos * point.x - sin * point.y + x, y: sin * point.x + cos * point.y + y };
}

/** One motion and then another, as one. */
export function followedBy(first: Motion, then: Motion): Motion {
  return { ...moved(first, then), turnRad: first.turnRad + then.turnRad };
}

/** The motion that undoes another. */
export function inverse(motion: Motion): Motion {
  const turnRad = -motion.turnRad;
  const { x, y } = moved({ x: -motion.x, y: -motion.y }, { ...STILL, turnRad });
  return { x, y, turnRad };
}
