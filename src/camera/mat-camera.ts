import { degreesOf } from '../units/degrees.ts';
import type { Point } from '../units/point.ts';
import { matProjection, TAP_SD, type FloorMat } from './floor-scale.ts';
import type { Estimate } from './growth-cue.ts';
import type { Homography } from './homography.ts';
import type { Lens } from './lens.ts';

/** The camera's angles and lens out of a mat's corners. */
export interface MatCamera {
  readonly yaw: Estimate;
  readonly roll: Estimate;
  readonly tilt: Estimate;
  readonly lens: Lens;
  /** Lens height over the floor, metres. */
  readonly heightM: number;
}

type Vector = readonly [number, number, number];
const CORNERS = ['nearLeft', 'nearRight', 'farRight', 'farLeft'] as const;

/**
 * How the camera stands over a mat, for a pin-hole camera with square pixels and its axis in the middle of the picture.
 * The lens' focal length is weighed between `lens` and what the mat's own perspective says; spreads come from moving each
 * tap by its error. Null when the corners make no rectangle's picture or lie the wrong way round.
 */
export function cameraByMat(mat: FloorMat, lens: Lens, widthPx: number, heightPx: number): MatCamera | null {
  const seen = solve(mat, lens, widthPx, heightPx);
  if (seen === null) return null;
  const tap = TAP_SD * heightPx;
  const moved = CORNERS.flatMap((corner) => [{ x: tap, y: 0 }, { x: 0, y: tap }].map((by) => ({ ...mat, [corner]: added(mat[corner], by) })))
    .map((one) => solve(one, lens, widthPx, heightPx));
  // A lens longer by its own spread, where the mat does not settle it.
  const longer = posture(matProjection(mat)?.toPicture ?? null, seen.lens.focalPx * (1 + seen.lens.relativeSd), widthPx, heightPx);
  const spread = (of: (camera: Posture) => number): number =>
    Math.hypot(...moved.map((one) => (one === null ? 0 : of(one) - of(seen))), longer === null ? 0 : of(longer) - of(seen));
  return {
    yaw: { value: seen.yawDeg, sd: spread((one) => one.yawDeg) },
    roll: { value: seen.rollDeg, sd: spread((one) => one.rollDeg) },
    tilt: { value: seen.tiltDeg, sd: spread((one) => one.tiltDeg) },
    lens: seen.lens,
    heightM: seen.heightM,
  };
}

interface Posture {
  readonly yawDeg: number;
  readonly rollDeg: number;
  readonly tiltDeg: number;
  readonly heightM: number;
}

function solve(mat: FloorMat, lens: Lens, widthPx: number, heightPx: number): (Posture & { readonly lens: Lens }) | null {
  const toPicture = matProjection(mat)?.toPicture ?? null;
  if (toPicture === null) return null;
  const own = focalByMat(mat, widthPx, heightPx);
  const best = own === null ? lens : weighed(lens, own);
  const stands = posture(toPicture, best.focalPx, widthPx, heightPx);
  return stands === null ? null : { ...stands, lens: best };
}

function weighed(a: Lens, b: Lens): Lens {
  const [wa, wb] = [1 / a.relativeSd ** 2, 1 / b.relativeSd ** 2];
  const focalPx = Math.exp((wa * Math.log(a.focalPx) + wb * Math.log(b.focalPx)) / (wa + wb));
  return { focalPx, relativeSd: 1 / Math.sqrt(wa + wb) };
}

/** The focal length at which the mat's sides come out at right angles and in proportion, and its spread by the taps' error; null when the picture cannot tell. */
function focalByMat(mat: FloorMat, widthPx: number, heightPx: number): Lens | null {
  const at = (one: FloorMat): number | null => squareFocal(matProjection(one)?.toPicture ?? null, widthPx, heightPx);
  const focalPx = at(mat);
  if (focalPx === null) return null;
  const tap = TAP_SD * heightPx;
  const changes = CORNERS.flatMap((corner) => [{ x: tap, y: 0 }, { x: 0, y: tap }].map((by) => at({ ...mat, [corner]: added(mat[corner], by) })));
  if (changes.some((one) => one === null)) return null;
  const relativeSd = Math.hypot(...changes.map((one) => Math.log(one! / focalPx)));
  return relativeSd > 0 ? { focalPx, relativeSd } : null;
}

/**
 * Least squares over both conditions on 1/f²: columns h1, h2 of the projection seen from the middle of the picture obey
 * h1·ω·h2 = 0 and h1·ω·h1 = h2·ω·h2 with ω = diag(1/f², 1/f², 1).
 */
function squareFocal(toPicture: Homography | null, widthPx: number, heightPx: number): number | null {
  if (toPicture === null) return null;
  const [p, q] = columns(toPicture, widthPx, heightPx);
  // Lengths of the columns in pixels make both equations alike in weight.
  const size = Math.hypot(p[0], p[1]) * Math.hypot(q[0], q[1]);
  const square = size > 0 ? size : 1;
  const equations = [
    [(p[0] * q[0] + p[1] * q[1]) / square, (p[2] * q[2]) / square],
    [(p[0] ** 2 + p[1] ** 2 - q[0] ** 2 - q[1] ** 2) / square, (p[2] ** 2 - q[2] ** 2) / square],
  ] as const;
  const top = equations.reduce((sum, [a, b]) => sum - a * b, 0);
  const bottom = equations.reduce((sum, [a]) => sum + a * a, 0);
  const inverseSquare = top / bottom;
  return inverseSquare > 0 && Number.isFinite(inverseSquare) ? 1 / Math.sqrt(inverseSquare) : null;
}

/** Columns of the projection with the middle of the picture as origin. */
function columns(h: Homography, widthPx: number, heightPx: number): readonly [Vector, Vector, Vector] {
  const [cx, cy] = [widthPx / 2, heightPx / 2];
  const column = (k: 0 | 1 | 2): Vector => [h[k] - cx * h[6 + k]!, h[3 + k]! - cy * h[6 + k]!, h[6 + k]!];
  return [column(0), column(1), column(2)];
}

/** Camera frame: x right, y down, z ahead. */
function posture(toPicture: Homography | null, focalPx: number, widthPx: number, heightPx: number): Posture | null {
  if (toPicture === null) return null;
  const inLens = ([x, y, z]: Vector): Vector => [x / focalPx, y / focalPx, z];
  const [a, b, c] = columns(toPicture, widthPx, heightPx).map(inLens) as unknown as [Vector, Vector, Vector];
  const size = (length(a) + length(b)) / 2;
  // The mat lies ahead of the camera: its corner's depth is positive.
  const sign = c[2] > 0 ? 1 : -1;
  const along = scaled(a, sign / length(a));
  const rawUp = cross(along, scaled(b, sign / length(b)));
  const up = scaled(rawUp, 1 / length(rawUp));
  const away = cross(up, along);
  const heightM = -dot(up, scaled(c, sign / size));
  // Seen from above, going round near left → near right → far right is anticlockwise: then "up" points up in the picture.
  if (!(up[1] < 0 && heightM > 0)) return null;
  return {
    yawDeg: degreesOf(Math.atan2(along[2], away[2])),
    rollDeg: degreesOf(Math.atan2(up[0], -up[1])),
    tiltDeg: degreesOf(Math.asin(Math.max(-1, Math.min(1, -up[2])))),
    heightM,
  };
}

const added = (p: Point, q: Point): Point => ({ x: p.x + q.x, y: p.y + q.y });
const scaled = ([x, y, z]: Vector, by: number): Vector => [x * by, y * by, z * by];
const dot = (p: Vector, q: Vector): number => p[0] * q[0] + p[1] * q[1] + p[2] * q[2];
const length = (p: Vector): number => Math.sqrt(dot(p, p));
const cross = (p: Vector, q: Vector): Vector => [p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0]];
