import { degreesOf, radiansOf } from '../units/degrees.ts';
import type { Point } from '../units/point.ts';

/**
 * How a pin-hole camera looks at the vertical plane in which the athlete travels. Square pixels, principal point in the
 * middle of the picture.
 */
export interface CameraPose {
  /** 0 looks straight across the travel; positive when the right side of the picture lies farther away. */
  readonly yawDeg: number;
  /** How far the floor seems to drop toward the right of the picture, positive clockwise as seen. */
  readonly rollDeg: number;
  /** How far the camera looks down, negative up. */
  readonly tiltDeg: number;
  readonly focalPx: number;
  readonly widthPx: number;
  readonly heightPx: number;
}

/**
 * The display point as a level camera straight across the travel would see it, the distance at the middle of the
 * picture kept: exact for a pin-hole camera and for points in the plane of travel.
 *
 * With u, v from the middle after removing roll and tilt: x = u / (cos ψ − (u/f) sin ψ), y = v cos ψ / (cos ψ − (u/f) sin ψ);
 * for a distant camera x = u / cos ψ, y = v. A point that lies `awayPx` square-on pixels behind the plane (negative: nearer
 * to the camera) comes out where it stands along the run too. NaN for a point that no place before the camera shows.
 */
export function squareOn(point: Point, pose: CameraPose, awayPx = 0): Point {
  return squarer(pose)(point, awayPx);
}

/** squareOn for many points of one pose. */
export function squarer(pose: CameraPose): (point: Point, awayPx: number) => Point {
  const f = pose.focalPx;
  const { middle, cosRoll, sinRoll, cosTilt, sinTilt, cosYaw, sinYaw } = turnsOf(pose);
  return (point, awayPx) => {
    const dx = point.x - middle.x;
    const dy = point.y - middle.y;
    const rightward = dx * cosRoll + dy * sinRoll;
    const down = dy * cosRoll - dx * sinRoll;
    // A camera that looks down by t sees a level ray (y, z) at y cos t − z sin t, y sin t + z cos t; this turns it back.
    const levelDown = down * cosTilt + f * sinTilt;
    const ahead = f * cosTilt - down * sinTilt;
    const u = (rightward * f) / ahead;
    const v = (levelDown * f) / ahead;
    const share = cosYaw - (u / f) * sinYaw;
    if (!(ahead > 0 && share > 0)) return { x: NaN, y: NaN };
    // Seen from the camera's foot on the plane, places along the run and up grow with the distance: f cos ψ for the plane itself.
    const farther = awayPx / (f * cosYaw);
    const slant = (sinYaw + (u / f) * cosYaw) / share;
    return { x: middle.x + u / share + awayPx * slant, y: middle.y + ((v * cosYaw) / share) * (1 + farther) };
  };
}

/** The display point of a square-on point: the inverse of squareOn. NaN for a point behind the camera. */
export function asFilmed(point: Point, pose: CameraPose): Point {
  const f = pose.focalPx;
  const { middle, cosRoll, sinRoll, cosTilt, sinTilt, cosYaw, sinYaw } = turnsOf(pose);
  const x = point.x - middle.x;
  const y = point.y - middle.y;
  const depth = 1 + (x / f) * sinYaw;
  const u = (x * cosYaw) / depth;
  const v = y / depth;
  const ahead = f * cosTilt + v * sinTilt;
  if (!(depth > 0 && ahead > 0)) return { x: NaN, y: NaN };
  const rightward = (u * f) / ahead;
  const down = ((v * cosTilt - f * sinTilt) * f) / ahead;
  return { x: middle.x + rightward * cosRoll - down * sinRoll, y: middle.y + rightward * sinRoll + down * cosRoll };
}

/** Yaw in degrees from how the body's picture grows along the picture: d ln(size) / dx = −tan ψ / f per pixel to the right, at the middle. */
export function yawFromGrowthDeg(growthPerPx: number, focalPx: number): number {
  return degreesOf(Math.atan(-growthPerPx * focalPx));
}

function turnsOf({ rollDeg, tiltDeg, yawDeg, widthPx, heightPx }: CameraPose): Readonly<Record<`${'cos' | 'sin'}${'Roll' | 'Tilt' | 'Yaw'}`, number>> & { readonly middle: Point } {
  const [roll, tilt, yaw] = [radiansOf(rollDeg), radiansOf(tiltDeg), radiansOf(yawDeg)];
  return {
    middle: { x: widthPx / 2, y: heightPx / 2 },
    cosRoll: Math.cos(roll), sinRoll: Math.sin(roll),
    cosTilt: Math.cos(tilt), sinTilt: Math.sin(tilt),
    cosYaw: Math.cos(yaw), sinYaw: Math.sin(yaw),
  };
}
