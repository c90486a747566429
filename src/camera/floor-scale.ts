import { medianOf } from '../signal/spread.ts';
import type { Point } from '../units/point.ts';
import { squareOn, type CameraPose } from './camera-pose.ts';
import { homographyOf, inverse, project, type Homography } from './homography.ts';

/** Two marks on the line along which the athlete runs, tapped in display pixels. */
export interface FloorMarks {
  readonly kind: 'marks';
  readonly a: Point;
  readonly b: Point;
  /** Metres between the marks. */
  readonly apartM: number;
}

/** The four corners of a rectangular mat, tapped in display pixels, two of its sides along the run. */
export interface FloorMat {
  readonly kind: 'mat';
  readonly nearLeft: Point;
  readonly nearRight: Point;
  readonly farRight: Point;
  readonly farLeft: Point;
  /** Metres of the sides along the run (left to right in the picture), and of the other two. */
  readonly alongM: number;
  readonly acrossM: number;
}

/** What the user tapped on the floor. */
export type FloorTaps = FloorMarks | FloorMat;

/** One standard deviation of a tap on a crisp mark as a share of the picture's height, half of that of a joint placed by hand: 1.4 px in 720 rows. Chosen. */
export const TAP_SD = 0.002;
/** How far the athlete's feet and hands stray from the marked line, metres, one standard deviation. Chosen: half a body's width. */
const OFF_LINE_SD_M = 0.1;

/** Metres per square-on pixel along the line of travel, and its relative standard deviation. */
export interface FloorScale {
  readonly metresPerPixel: number;
  readonly relativeSd: number;
}

/** The scale that two marks give in the square-on picture of `pose`; null when they coincide there. Throws RangeError unless the distance is positive. */
export function scaleByMarks(marks: FloorMarks, pose: CameraPose): FloorScale | null {
  if (!(marks.apartM > 0)) throw new RangeError(`marks must lie apart, got ${marks.apartM} m`);
  const a = squareOn(marks.a, pose);
  const b = squareOn(marks.b, pose);
  const span = Math.hypot(a.x - b.x, a.y - b.y);
  if (!(span > 1)) return null;
  const metresPerPixel = marks.apartM / span;
  // The camera stands focal length × metres per pixel away: who strays from the line by dz seems larger by dz / distance.
  const offLine = OFF_LINE_SD_M / (pose.focalPx * metresPerPixel);
  return { metresPerPixel, relativeSd: Math.hypot((Math.SQRT2 * TAP_SD * pose.heightPx) / span, offLine) };
}

/** Projections between floor and picture out of a mat's corners: metres with x along the run to the right and y away from the camera, 0 at the near left corner. Null when the corners make no rectangle's picture. Throws RangeError unless both sides are positive. */
export function matProjection(mat: FloorMat): { readonly toPicture: Homography; readonly toFloor: Homography } | null {
  const { alongM, acrossM } = mat;
  if (!(alongM > 0 && acrossM > 0)) throw new RangeError(`mat sides must be positive, got ${alongM} m × ${acrossM} m`);
  const toPicture = homographyOf(
    [{ x: 0, y: 0 }, { x: alongM, y: 0 }, { x: alongM, y: acrossM }, { x: 0, y: acrossM }],
    [mat.nearLeft, mat.nearRight, mat.farRight, mat.farLeft],
  );
  return toPicture === null ? null : { toPicture, toFloor: inverse(toPicture) };
}

/** Two marks on the athlete's own line over a mat: the line parallel to its long sides through where the feet stood. Null when no foot was seen on the floor or the corners make no rectangle's picture. */
export function marksOnMat(mat: FloorMat, feet: readonly Point[]): FloorMarks | null {
  const projection = matProjection(mat);
  if (projection === null) return null;
  const across = medianOf(feet.map((foot) => project(projection.toFloor, foot).y));
  if (!Number.isFinite(across)) return null;
  const at = (alongM: number): Point => project(projection.toPicture, { x: alongM, y: across });
  return { kind: 'marks', a: at(0), b: at(mat.alongM), apartM: mat.alongM };
}
