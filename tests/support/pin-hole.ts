import type { Point } from '../../src/units/point.ts';

/** A place in the room: x along the run to the right, y up, z toward the camera; metres. */
export type Place = readonly [number, number, number];

/** A pin-hole camera written down apart from the product's own formulas: where it stands and three unit vectors. */
export interface PinHole {
  readonly at: Place;
  readonly right: Place;
  readonly up: Place;
  readonly back: Place;
  readonly focalPx: number;
  readonly widthPx: number;
  readonly heightPx: number;
}

const cross = (a: Place, b: Place): Place => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const dot = (a: Place, b: Place): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/**
 * A camera turned by `yawDeg` (right side of the picture farther away), looking down by `tiltDeg`, tipped so that the
 * floor drops to the right by `rollDeg`; `distanceM` from the run along its own level axis, which meets the run at x = 0.
 */
export function pinHole(o: { yawDeg: number; tiltDeg: number; rollDeg: number; distanceM: number; heightM: number; focalPx: number; widthPx?: number; heightPx?: number }): PinHole {
  const [yaw, tilt, roll] = [o.yawDeg, o.tiltDeg, o.rollDeg].map((deg) => (deg * Math.PI) / 180) as [number, number, number];
  const levelAhead: Place = [Math.sin(yaw), 0, -Math.cos(yaw)];
  const ahead: Place = [levelAhead[0] * Math.cos(tilt), -Math.sin(tilt), levelAhead[2] * Math.cos(tilt)];
  const levelRight = cross(levelAhead, [0, 1, 0]);
  const levelUp = cross(levelRight, ahead);
  // Turning the camera anticlockwise makes the picture turn clockwise.
  const mix = (a: Place, p: number, b: Place, q: number): Place => [a[0] * p + b[0] * q, a[1] * p + b[1] * q, a[2] * p + b[2] * q];
  return {
    at: [-levelAhead[0] * o.distanceM, o.heightM, -levelAhead[2] * o.distanceM],
    right: mix(levelRight, Math.cos(roll), levelUp, Math.sin(roll)),
    up: mix(levelUp, Math.cos(roll), levelRight, -Math.sin(roll)),
    back: [-ahead[0], -ahead[1], -ahead[2]],
    focalPx: o.focalPx, widthPx: o.widthPx ?? 1280, heightPx: o.heightPx ?? 720,
  };
}

/** The display pixel that shows a place. */
export function show(camera: PinHole, place: Place): Point {
  const from: Place = [place[0] - camera.at[0], place[1] - camera.at[1], place[2] - camera.at[2]];
  const depth = -dot(from, camera.back);
  return {
    x: camera.widthPx / 2 + (camera.focalPx * dot(from, camera.right)) / depth,
    y: camera.heightPx / 2 - (camera.focalPx * dot(from, camera.up)) / depth,
  };
}
