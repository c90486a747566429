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
  checkLengths(times, values, weights, halfWidthS, order);
  const size = order + 1;
  const offsets: number[] = [];
  const points: number[] = [];
  const shares: number[] = [];
  for (let i = firstFrom(times, at - halfWidthS); i < times.length; i += 1) {
    const u = (times[i]! - at) / halfWidthS;
    if (u >= 1) break;
    const kernel = (1 - u * u) * (weights === null ? 1 : weights[i]!);
    if (u > -1 && kernel > 0 && Number.isFinite(values[i])) {
      offsets.push(u);
      points.push(values[i]!);
      shares.push(kernel);
    }
  }
  const count = offsets.length;
  if (count < size || offsets[0]! > 0.25 || offsets[count - 1]! < -0.25) return null;

  // Orthonormal basis by twice-repeated Gram–Schmidt (the weighted QR): stable where normal equations are not.
  const basis: Float64Array[] = [];
  const triangle: number[][] = [];
  for (let k = 0; k < size; k += 1) {
    const column = Float64Array.from(offsets, (u, i) => Math.sqrt(shares[i]!) * u ** k);
    const before = Math.sqrt(dot(column, column));
    const row = new Array<number>(size).fill(0);
    for (let pass = 0; pass < 2; pass += 1) {
      for (let j = 0; j < k; j += 1) {
        const share = dot(basis[j]!, column);
        row[j] = row[j]! + share;
        for (let i = 0; i < count; i += 1) column[i] = column[i]! - share * basis[j]![i]!;
      }
    }
    const length = Math.sqrt(dot(column, column));
    if (!(length > 1e-10 * before)) return null;
    row[k] = length;
    triangle.push(row);
    basis.push(column.map((v) => v / length));
  }
  const target = Float64Array.from(points, (v, i) => Math.sqrt(shares[i]!) * v);
  const coefficients = solveUpper(triangle, basis.map((q) => dot(q, target)));
  // Row of the estimator: coefficient k = Σ row[k][i]·point[i].
  const noise = new Array<number>(size).fill(0);
  for (let i = 0; i < count; i += 1) {
    const response = solveUpper(triangle, basis.map((q) => q[i]! * Math.sqrt(shares[i]!)));
    for (let k = 0; k < size; k += 1) noise[k] = noise[k]! + response[k]! ** 2;
  }
  let residual = 0;
  let shareSum = 0;
  for (let i = 0; i < count; i += 1) {
    const fitted = coefficients.reduce((sum, c, k) => sum + c * offsets[i]! ** k, 0);
    residual += shares[i]! * (points[i]! - fitted) ** 2;
    shareSum += shares[i]!;
  }
  const spare = count - size;
  return {
    value: coefficients[0]!,
    first: (coefficients[1] ?? 0) / halfWidthS,
    second: (2 * (coefficients[2] ?? 0)) / halfWidthS ** 2,
    valueNoise: Math.sqrt(noise[0]!),
    firstNoise: Math.sqrt(noise[1] ?? 0) / halfWidthS,
    secondNoise: (2 * Math.sqrt(noise[2] ?? 0)) / halfWidthS ** 2,
    residualSd: spare > 0 ? Math.sqrt((residual / shareSum) * (count / spare)) : null,
    count,
  };
}

function checkLengths(times: Float64Array, values: Float64Array, weights: Float64Array | null, halfWidthS: number, order: number): void {
  if (times.length !== values.length) throw new RangeError(`${times.length} times for ${values.length} values`);
  if (weights !== null && weights.length !== values.length) throw new RangeError(`${weights.length} weights for ${values.length} values`);
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

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += a[i]! * b[i]!;
  return sum;
}

/** Solves R c = y where `columns[k]` holds column k of the upper triangle R. */
function solveUpper(columns: readonly (readonly number[])[], right: readonly number[]): number[] {
  const c = right.slice();
  for (let k = c.length - 1; k >= 0; k -= 1) {
    let v = c[k]!;
    for (let j = k + 1; j < c.length; j += 1) v -= columns[j]![k]! * c[j]!;
    c[k] = v / columns[k]![k]!;
  }
  return c;
}

/** localFit at every time of the track: Float64Arrays of value, first and second derivative, NaN where there is no fit or where the value itself is a gap. */
export function localFitAll(
  times: Float64Array,
  values: Float64Array,
  weights: Float64Array | null,
  halfWidthS: number,
  order: number,
): { readonly value: Float64Array; readonly first: Float64Array; readonly second: Float64Array } {
  checkTimes(times, values);
  const value = new Float64Array(times.length).fill(Number.NaN);
  const first = value.slice();
  const second = value.slice();
  for (let i = 0; i < times.length; i += 1) {
    const fit = Number.isFinite(values[i]) ? localFit(times, values, weights, times[i]!, halfWidthS, order) : null;
    if (fit === null) continue;
    value[i] = fit.value;
    first[i] = fit.first;
    second[i] = fit.second;
  }
  return { value, first, second };
}
