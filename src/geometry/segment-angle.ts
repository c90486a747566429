import type { Direction } from '../starts/start.ts';
import { degreesOf } from '../units/degrees.ts';
import type { Point } from '../units/point.ts';

function forwardUp(from: Point, to: Point, direction: Direction): { forward: number; up: number } | null {
  const dx = to.x - from.x;
  const forward = direction === 'left-to-right' ? dx : -dx;
  const up = from.y - to.y;
  return Math.hypot(forward, up) > 0 ? { forward, up } : null;
}

/**
 * Direction of the segment from→to in degrees, signed: 0 points along the travel, 90 up, −90 down, 180 against the travel.
 * Range (−180, 180]; null when the segment has no length or a point is a gap.
 */
export function segmentAngleDeg(from: Point, to: Point, direction: Direction): number | null {
  const d = forwardUp(from, to, direction);
  if (d === null) return null;
  const angle = degreesOf(Math.atan2(d.up, d.forward));
  return angle === -180 ? 180 : angle;
}

/**
 * Lean of the line hip→shoulder from the vertical in degrees: 0 upright, positive toward the travel, ±180 upside down.
 * Range (−180, 180]; null when the points coincide or one is a gap.
 */
export function leanFromVerticalDeg(hip: Point, shoulder: Point, direction: Direction): number | null {
  const d = forwardUp(hip, shoulder, direction);
  if (d === null) return null;
  const angle = degreesOf(Math.atan2(d.forward, d.up));
  return angle === -180 ? 180 : angle;
}

/**
 * Elevation of the thigh hip→knee in degrees: 0 horizontal in front, positive above, −90 hanging down, below −90 behind the hip.
 * Continuous from −225 to 135 (the jump lies where no thigh points: back and up); null when the points coincide or one is a gap.
 */
export function thighElevationDeg(hip: Point, knee: Point, direction: Direction): number | null {
  const angle = segmentAngleDeg(hip, knee, direction);
  if (angle === null) return null;
  return angle > 135 ? angle - 360 : angle;
}
