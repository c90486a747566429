import { degreesOf, radiansOf } from '../units/degrees.ts';
import type { Point } from '../units/point.ts';

// All of these are exact for a distant camera (orthographic limit): turning it by ψ shrinks horizontals by cos ψ and nothing else.

function shrink(yawDeg: number): number {
  if (!(Math.abs(yawDeg) < 90)) throw new RangeError(`yaw must lie within ±90°, got ${yawDeg}`);
  return Math.cos(radiansOf(yawDeg));
}

/** True horizontal length out of the length seen by a camera turned `yawDeg` away from square-on, same unit. Throws RangeError from ±90°. */
export function trueLength(seenLength: number, yawDeg: number): number {
  return seenLength / shrink(yawDeg);
}

/** Share of a horizontal length that a camera turned `yawDeg` away loses, 0 to 1: 1 − cos ψ. */
export function lengthLoss(yawDeg: number): number {
  return 1 - shrink(yawDeg);
}

/** The point as a square-on camera would see it: x stretched by 1 / cos ψ about `aboutX`, y kept. */
export function removeYaw(point: Point, aboutX: number, yawDeg: number): Point {
  return { x: aboutX + (point.x - aboutX) / shrink(yawDeg), y: point.y };
}

/** Angle in degrees that a camera turned by `yawDeg` sees of a true joint angle whose bisector is vertical or horizontal: 2 atan(tan(θ/2)·cos ψ) or 2 atan(tan(θ/2)/cos ψ). */
export function seenAngleDeg(trueDeg: number, bisector: 'vertical' | 'horizontal', yawDeg: number): number {
  const half = radiansOf(trueDeg) / 2;
  const factor = bisector === 'vertical' ? shrink(yawDeg) : 1 / shrink(yawDeg);
  // atan2 of sine and cosine keeps 180° exact.
  return degreesOf(2 * Math.atan2(Math.sin(half) * factor, Math.cos(half)));
}

/** Angle in degrees that a camera turned by `yawDeg` sees of a true joint angle with one horizontal segment: atan2(sin θ, cos θ cos ψ). */
export function seenAngleOnHorizontalDeg(trueDeg: number, yawDeg: number): number {
  const theta = radiansOf(trueDeg);
  return degreesOf(Math.atan2(Math.sin(theta), Math.cos(theta) * shrink(yawDeg)));
}

/** Largest error in degrees that a camera turned by `yawDeg` can make of a true joint angle, over all directions of its bisector; 0 or more. */
export function worstAngleErrorDeg(trueDeg: number, yawDeg: number): number {
  return Math.max(
    Math.abs(seenAngleDeg(trueDeg, 'vertical', yawDeg) - trueDeg),
    Math.abs(seenAngleDeg(trueDeg, 'horizontal', yawDeg) - trueDeg),
  );
}

/** Lean in degrees that a camera turned by `yawDeg` sees of a true lean: atan(tan(lean)·cos ψ), sign kept. */
export function seenLeanDeg(trueLeanDeg: number, yawDeg: number): number {
  const lean = radiansOf(trueLeanDeg);
  return degreesOf(Math.atan2(Math.sin(lean) * shrink(yawDeg), Math.cos(lean)));
}

/** True lean in degrees out of the lean seen by a camera turned by `yawDeg`: the inverse of seenLeanDeg. */
export function trueLeanDeg(seenDeg: number, yawDeg: number): number {
  const lean = radiansOf(seenDeg);
  return degreesOf(Math.atan2(Math.sin(lean) / shrink(yawDeg), Math.cos(lean)));
}
