import { radiansOf } from '../units/degrees.ts';
import type { Point } from '../units/point.ts';

/**
 * The point as a level camera would see it: turned about `about` by −`rollDeg`.
 * `rollDeg` is how far the floor line seems to drop toward the right of the picture, positive clockwise as seen.
 */
export function removeRoll(point: Point, about: Point, rollDeg: number): Point {
  const roll = radiansOf(rollDeg);
  const dx = point.x - about.x;
  const dy = point.y - about.y;
  return {
    x: about.x + dx * Math.cos(roll) + dy * Math.sin(roll),
    y: about.y - dx * Math.sin(roll) + dy * Math.cos(roll),
  };
}
