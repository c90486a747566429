import { solveTransposed } from './cholesky.ts';
import { checkTimes } from './runs.ts';

/** What a polynomial fitted around one moment says there. */
export interface LocalFit {
  readonly value: number;
  /** Per second. */
  readonly first: number;
  /** Per second squared. */
  readonly second: number;
  /** Standard deviation of `value` when each point carries independent noise of standard deviation 1. */
  readonly valueNoise: number;
  /** The same for `first`. */
  readonly firstNoise: number;
  /** The same for `second`. */
  readonly secondNoise: number;
  /** Standard deviation of a point about the fit, from its residuals; null when no point is to spare. */
  readonly residualSd: number | null;
  /** Points used. */
  readonly count: number;
}

/**
 * Polynomial of degree `order` (0 to 5) fitted by weighted least squares to the points within `halfWidthS` of `at` on their own
 * times: value, first and second derivative at `at`, exact for polynomials up to that degree. `weights` (0 or more, null for
 * equal) multiply a kernel that falls from 1 at `at` to 0 at the half width, so that points enter and leave softly.
 * Gaps (NaN) and weight 0 are left out. Null with fewer than order + 1 usable points, or when they all lie on one side of `at`
 * farther away than a quarter of the half width.
 */
export function localFit(
  times: Float64Array,
  values: Float64Array,
  weights: Float64Array | null,
  at: number,
  halfWidthS: number,
  order: number,
): LocalFit | null {
  return localFitter(times, weights, at, halfWidthS, order)(values);
}

/** localFit at one moment for any number of values on the same times: what depends on the times and gaps alone is worked out once as long as the gaps stay the same. */
export function localFitter(
  times: Float64Array,
  weights: Float64Array | null,
  at: number,
  halfWidthS: number,
  order: number,
): (values: Float64Array) => LocalFit | null {
  checkWidth(halfWidthS, order);
  if (weights !== null) checkLengths(times, weights, 'weights');
  const from = firstFrom(times, at - halfWidthS);
  let to = from;
  while (to < times.length && times[to]! - at < halfWidthS) to += 1;
  // The points that take part, and what was worked out for them.
  const used = new Int32Array(to - from);
  let count = -1;
  let basis: LocalBasis | null = null;
  return (values) => {
    checkLengths(times, values, 'values');
    let isNew = false;
    let usable = 0;
    for (let i = from; i < to; i += 1) {
      if (!Number.isFinite(values[i])) continue;
      const offset = (times[i]! - at) / halfWidthS;
      if (!((1 - offset * offset) * (weights === null ? 1 : weights[i]!) > 0)) continue;
      isNew ||= used[usable] !== i;
      used[usable] = i;
      usable += 1;
    }
    if (isNew || usable !== count) {
      count = usable;
      basis = localBasis(times, weights, used.subarray(0, count), at, halfWidthS, order);
    }
    return basis === null ? null : fitOn(basis, values, used, halfWidthS);
  };
}

/** A polynomial basis over some points, weighed, and the noise of what is read from it. */
interface LocalBasis {
  /** Offsets of the points from the moment, −1 to 1, and the roots of their weights. */
  readonly u: Float64Array;
  readonly root: Float64Array;
  /** columns[k·count + i] is column k, triangle[k·size + j] the share of column j in power k. */
  readonly columns: Float64Array;
  readonly triangle: Float64Array;
  /** Variance of value, first and half the second derivative for noise of 1, the half width as unit of time. */
  readonly noise: Float64Array;
}

/** Orthonormal basis by twice-repeated Gram–Schmidt (the weighted QR): stable where normal equations are not. Null where the points do not carry it. */
function localBasis(times: Float64Array, weights: Float64Array | null, used: Int32Array, at: number, halfWidthS: number, order: number): LocalBasis | null {
  const size = order + 1;
  const count = used.length;
  if (count < size) return null;
  const u = new Float64Array(count);
  const root = new Float64Array(count);
  for (let i = 0; i < count; i += 1) {
    u[i] = (times[used[i]!]! - at) / halfWidthS;
    root[i] = Math.sqrt((1 - u[i]! * u[i]!) * (weights === null ? 1 : weights[used[i]!]!));
  }
  if (u[0]! > 0.25 || u[count - 1]! < -0.25) return null;

  const columns = new Float64Array(size * count);
  const triangle = new Float64Array(size * size);
  const power = root.slice();
  for (let k = 0; k < size; k += 1) {
    const own = k * count;
    let before = 0;
    for (let i = 0; i < count; i += 1) {
      const v = power[i]!;
      columns[own + i] = v;
      before += v * v;
      power[i] = v * u[i]!;
    }
    for (let pass = 0; pass < 2; pass += 1) {
      for (let j = 0; j < k; j += 1) {
        let share = 0;
        for (let i = 0; i < count; i += 1) share += columns[j * count + i]! * columns[own + i]!;
        triangle[k * size + j] = triangle[k * size + j]! + share;
        for (let i = 0; i < count; i += 1) columns[own + i] = columns[own + i]! - share * columns[j * count + i]!;
      }
    }
    let square = 0;
    for (let i = 0; i < count; i += 1) square += columns[own + i]! ** 2;
    const length = Math.sqrt(square);
    if (!(length > 1e-10 * Math.sqrt(before))) return null;
    triangle[k * size + k] = length;
    for (let i = 0; i < count; i += 1) columns[own + i] = columns[own + i]! / length;
  }

  // The estimate is a weighted sum of the points; its noise is the root of the sum of squared weights.
  const noise = new Float64Array(3);
  const response = new Float64Array(size);
  for (let i = 0; i < count; i += 1) {
    for (let k = 0; k < size; k += 1) response[k] = columns[k * count + i]! * root[i]!;
    solveTransposed(triangle, response);
    for (let k = 0; k < size && k < 3; k += 1) noise[k] = noise[k]! + response[k]! ** 2;
  }
  return { u, root, columns, triangle, noise };
}

function fitOn({ u, root, columns, triangle, noise }: LocalBasis, values: Float64Array, used: Int32Array, halfWidthS: number): LocalFit {
  const count = u.length;
  const size = columns.length / count;
  const coefficients = new Float64Array(size);
  for (let k = 0; k < size; k += 1) {
    let sum = 0;
    for (let i = 0; i < count; i += 1) sum += columns[k * count + i]! * root[i]! * values[used[i]!]!;
    coefficients[k] = sum;
  }
  solveTransposed(triangle, coefficients);
  let residual = 0;
  let shareSum = 0;
  for (let i = 0; i < count; i += 1) {
    let fitted = 0;
    for (let k = size - 1; k >= 0; k -= 1) fitted = fitted * u[i]! + coefficients[k]!;
    residual += (root[i]! * (values[used[i]!]! - fitted)) ** 2;
    shareSum += root[i]! ** 2;
  }
  const spare = count - size;
  return {
    value: coefficients[0]!,
    first: (coefficients[1] ?? 0) / halfWidthS,
    second: (2 * (coefficients[2] ?? 0)) / halfWidthS ** 2,
    valueNoise: Math.sqrt(noise[0]!),
    firstNoise: Math.sqrt(noise[1]!) / halfWidthS,
    secondNoise: (2 * Math.sqrt(noise[2]!)) / halfWidthS ** 2,
    residualSd: spare > 0 ? Math.sqrt((residual / shareSum) * (count / spare)) : null,
    count,
  };
}

function checkLengths(times: Float64Array, others: Float64Array, what: string): void {
  if (times.length !== others.length) throw new RangeError(`${others.length} ${what} for ${times.length} times`);
}

function checkWidth(halfWidthS: number, order: number): void {
  if (!(halfWidthS > 0)) throw new RangeError(`half width must be positive, got ${halfWidthS}`);
  if (!(Number.isInteger(order) && order >= 0 && order <= 5)) throw new RangeError(`order must be 0 to 5, got ${order}`);
}

function firstFrom(times: Float64Array, at: number): number {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (times[middle]! < at) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * localFit of degree 0 to 2 at every time of the track: Float64Arrays of value, first and second derivative, NaN where
 * there is no fit or where the value itself is a gap. Solves the normal equations in closed form, without the noise
 * figures: offsets lie within ±1, where they are well conditioned up to degree 2.
 */
export function localFitAll(
  times: Float64Array,
  values: Float64Array,
  weights: Float64Array | null,
  halfWidthS: number,
  order: 0 | 1 | 2,
): { readonly value: Float64Array; readonly first: Float64Array; readonly second: Float64Array } {
  checkTimes(times, values);
  checkWidth(halfWidthS, order);
  if (weights !== null) checkLengths(times, weights, 'weights');
  const n = times.length;
  const value = new Float64Array(n).fill(Number.NaN);
  const first = value.slice();
  const second = value.slice();
  let from = 0;
  for (let i = 0; i < n; i += 1) {
    if (!Number.isFinite(values[i])) continue;
    const at = times[i]!;
    while (times[from]! <= at - halfWidthS) from += 1;
    // Moments of the offsets u and of the values about values[i], which keeps large positions exact.
    const origin = values[i]!;
    let s0 = 0, s1 = 0, s2 = 0, s3 = 0, s4 = 0, y0 = 0, y1 = 0, y2 = 0;
    let count = 0;
    for (let k = from; k < n; k += 1) {
      const u = (times[k]! - at) / halfWidthS;
      if (u >= 1) break;
      const y = values[k]! - origin;
      const w = (1 - u * u) * (weights === null ? 1 : weights[k]!);
      if (!(w > 0) || !Number.isFinite(y)) continue;
      const wu = w * u;
      const wuu = wu * u;
      s0 += w; s1 += wu; s2 += wuu; s3 += wuu * u; s4 += wuu * u * u;
      y0 += w * y; y1 += wu * y; y2 += wuu * y;
      count += 1;
    }
    if (count < order + 1) continue;
    if (order === 0) {
      value[i] = origin + y0 / s0;
      first[i] = 0;
      second[i] = 0;
    } else if (order === 1) {
      const det = s0 * s2 - s1 * s1;
      if (!(det > 1e-12 * s0 * s2)) continue;
      value[i] = origin + (s2 * y0 - s1 * y1) / det;
      first[i] = (s0 * y1 - s1 * y0) / det / halfWidthS;
      second[i] = 0;
    } else {
      const m00 = s2 * s4 - s3 * s3;
      const m01 = s2 * s3 - s1 * s4;
      const m02 = s1 * s3 - s2 * s2;
      const det = s0 * m00 + s1 * m01 + s2 * m02;
      if (!(Math.abs(det) > 1e-12 * s0 * s2 * s4)) continue;
      const m11 = s0 * s4 - s2 * s2;
      const m12 = s1 * s2 - s0 * s3;
      const m22 = s0 * s2 - s1 * s1;
      value[i] = origin + (m00 * y0 + m01 * y1 + m02 * y2) / det;
      first[i] = (m01 * y0 + m11 * y1 + m12 * y2) / det / halfWidthS;
      second[i] = (2 * (m02 * y0 + m12 * y1 + m22 * y2)) / det / halfWidthS ** 2;
    }
  }
  return { value, first, second };
}

/**
 * What the points around one point say it should be: a quadratic through its neighbours within `halfWidthS`, itself left
 * out, read at its time. Null in a gap and with fewer than four neighbours (a quadratic through three follows a spike).
 */
export function localValueWithout(times: Float64Array, values: Float64Array, index: number, halfWidthS: number): number | null {
  const origin = values[index]!;
  if (!Number.isFinite(origin)) return null;
  let s0 = 0, s1 = 0, s2 = 0, s3 = 0, s4 = 0, y0 = 0, y1 = 0, y2 = 0;
  let count = 0;
  for (let step = -1; step <= 1; step += 2) {
    for (let k = index + step; k >= 0 && k < times.length; k += step) {
      const u = (times[k]! - times[index]!) / halfWidthS;
      if (!(Math.abs(u) < 1)) break;
      const y = values[k]! - origin;
      if (!Number.isFinite(y)) continue;
      const w = 1 - u * u;
      const wu = w * u;
      const wuu = wu * u;
      s0 += w; s1 += wu; s2 += wuu; s3 += wuu * u; s4 += wuu * u * u;
      y0 += w * y; y1 += wu * y; y2 += wuu * y;
      count += 1;
    }
  }
  const m00 = s2 * s4 - s3 * s3;
  const m01 = s2 * s3 - s1 * s4;
  const m02 = s1 * s3 - s2 * s2;
  const det = s0 * m00 + s1 * m01 + s2 * m02;
  if (count < 4 || !(Math.abs(det) > 1e-12 * s0 * s2 * s4)) return null;
  return origin + (m00 * y0 + m01 * y1 + m02 * y2) / det;
}
