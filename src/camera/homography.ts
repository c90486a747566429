import type { Point } from '../units/point.ts';
import { solveLinear } from './solve-linear.ts';

/** A plane-to-plane projection, nine numbers in rows; the last is 1 in the solver's own scaling. */
export type Homography = readonly [number, number, number, number, number, number, number, number, number];

/**
 * The projection that carries four points to four others (direct linear transform; both sets are first centred and
 * scaled to unit size so that the system stays well conditioned). Null when three of a set lie on one line.
 * Throws RangeError unless there are four of each.
 */
export function homographyOf(from: readonly Point[], to: readonly Point[]): Homography | null {
  if (from.length !== 4 || to.length !== 4) throw new RangeError('a projection needs four points and four images');
  const a = unitFrame(from);
  const b = unitFrame(to);
  if (a === null || b === null) return null;
  const rows: number[][] = [];
  const right: number[] = [];
  from.forEach((point, i) => {
    const { x, y } = a.apply(point);
    const { x: u, y: v } = b.apply(to[i]!);
    rows.push([x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]);
    right.push(u, v);
  });
  const h = solveLinear(rows, right);
  if (h === null || !h.every(Number.isFinite)) return null;
  const unit: Homography = [h[0]!, h[1]!, h[2]!, h[3]!, h[4]!, h[5]!, h[6]!, h[7]!, 1];
  if (Math.abs(determinant(unit)) < 1e-9) return null;
  return multiply(multiply(b.back, unit), a.there);
}

/** The image of a point; NaN for a point that the projection sends to infinity. */
export function project(h: Homography, { x, y }: Point): Point {
  const w = h[6] * x + h[7] * y + h[8];
  return w === 0 ? { x: NaN, y: NaN } : { x: (h[0] * x + h[1] * y + h[2]) / w, y: (h[3] * x + h[4] * y + h[5]) / w };
}

/** The projection back. */
export function inverse(h: Homography): Homography {
  const [a, b, c, d, e, f, g, k, l] = h;
  return [
    e * l - f * k, c * k - b * l, b * f - c * e,
    f * g - d * l, a * l - c * g, c * d - a * f,
    d * k - e * g, b * g - a * k, a * e - b * d,
  ];
}

function multiply(p: Homography, q: Homography): Homography {
  const at = (row: number, column: number): number => [0, 1, 2].reduce((sum, k) => sum + p[3 * row + k]! * q[3 * k + column]!, 0);
  return [at(0, 0), at(0, 1), at(0, 2), at(1, 0), at(1, 1), at(1, 2), at(2, 0), at(2, 1), at(2, 2)];
}

function determinant([a, b, c, d, e, f, g, k, l]: Homography): number {
  return a * (e * l - f * k) - b * (d * l - f * g) + c * (d * k - e * g);
}

/** Moves the points' middle to 0 and their mean distance from it to √2. */
function unitFrame(points: readonly Point[]): { apply: (point: Point) => Point; there: Homography; back: Homography } | null {
  const x = points.reduce((sum, point) => sum + point.x, 0) / points.length;
  const y = points.reduce((sum, point) => sum + point.y, 0) / points.length;
  const reach = points.reduce((sum, point) => sum + Math.hypot(point.x - x, point.y - y), 0) / points.length;
  if (!(reach > 0)) return null;
  const s = Math.SQRT2 / reach;
  return {
    apply: (point) => ({ x: s * (point.x - x), y: s * (point.y - y) }),
    there: [s, 0, -s * x, 0, s, -s * y, 0, 0, 1],
    back: [1 / s, 0, x, 0, 1 / s, y, 0, 0, 1],
  };
}
