/** A path that moves, then rests. */
export interface Hinge {
  /** The instant in seconds at which rest begins. */
  readonly t: number;
  /** One standard deviation of that instant from the residual of the fit, seconds. */
  readonly sd: number;
  /** Where the point rests, per coordinate. */
  readonly rest: readonly number[];
}

/**
 * Fits "moving, then at rest" to several coordinates of a point at once and returns the instant at sub-frame precision, or
 * null with fewer than two samples on either side or five in all.
 *
 * p = rest + u·s + w·s² with s = min(0, t − t₀): the point arrives at any speed and stops at once. Least squares in the
 * linear terms for each trial instant, then a parabola through the three best trials. Times are true timestamps; NaN samples
 * are skipped.
 */
export function fitHinge(
  times: ArrayLike<number>,
  coordinates: readonly ArrayLike<number>[],
  from: number,
  to: number,
  trials: { readonly from: number; readonly to: number; readonly step: number },
): Hinge | null {
  const rows: number[] = [];
  for (let i = from; i <= to; i++) {
    if (coordinates.every((values) => Number.isFinite(values[i]))) rows.push(i);
  }
  if (rows.length < 5) return null;
  const results: { t: number; sse: number; rest: number[] }[] = [];
  for (let t0 = trials.from; t0 <= trials.to + 1e-9; t0 += trials.step) {
    const free = rows.filter((i) => times[i]! < t0).length;
    if (free < 2 || rows.length - free < 2) continue;
    let sse = 0;
    const rest: number[] = [];
    for (const values of coordinates) {
      const fit = fitOne(times, values, rows, t0);
      sse += fit.sse;
      rest.push(fit.rest);
    }
    results.push({ t: t0, sse, rest });
  }
  if (results.length === 0) return null;
  let at = 0;
  results.forEach((result, k) => {
    if (result.sse < results[at]!.sse) at = k;
  });
  const best = results[at]!;
  const degrees = Math.max(1, (rows.length - TERMS) * coordinates.length - 1);
  const variance = best.sse / degrees;
  let t = best.t;
  let curvature = 0;
  const before = results[at - 1];
  const after = results[at + 1];
  if (before && after) {
    curvature = (before.sse - 2 * best.sse + after.sse) / trials.step ** 2;
    if (curvature > 0) t += Math.max(-1, Math.min(1, ((before.sse - after.sse) / (2 * curvature * trials.step)) / trials.step)) * trials.step;
  }
  const span = trials.to - trials.from;
  const sd = curvature > 0 ? Math.min(span, Math.sqrt((2 * variance) / curvature)) : span;
  return { t, sd, rest: best.rest };
}

/** Rest, speed and its change. */
const TERMS = 3;

/** Least squares of one coordinate for a fixed instant. */
function fitOne(times: ArrayLike<number>, values: ArrayLike<number>, rows: readonly number[], t0: number): { rest: number; sse: number } {
  const a = new Float64Array(TERMS * TERMS);
  const b = new Float64Array(TERMS);
  const basisAt = (i: number): readonly [number, number, number] => {
    const s = Math.min(0, times[i]! - t0);
    return [1, s, s * s];
  };
  for (const i of rows) {
    const basis = basisAt(i);
    for (let p = 0; p < TERMS; p++) {
      b[p]! += basis[p]! * values[i]!;
      for (let q = 0; q < TERMS; q++) a[p * TERMS + q]! += basis[p]! * basis[q]!;
    }
  }
  for (let p = 0; p < TERMS; p++) a[p * TERMS + p]! += 1e-12;
  const c = solve(a, b, TERMS);
  let sse = 0;
  for (const i of rows) {
    const basis = basisAt(i);
    const model = basis.reduce((sum, term, p) => sum + c[p]! * term, 0);
    sse += (values[i]! - model) ** 2;
  }
  return { rest: c[0]!, sse };
}

/** Gauss elimination with partial pivoting of a small symmetric system. */
function solve(matrix: Float64Array, right: Float64Array, n: number): Float64Array {
  const a = matrix.slice();
  const b = right.slice();
  for (let c = 0; c < n; c++) {
    let pivot = c;
    for (let r = c + 1; r < n; r++) if (Math.abs(a[r * n + c]!) > Math.abs(a[pivot * n + c]!)) pivot = r;
    for (let k = 0; k < n; k++) [a[c * n + k], a[pivot * n + k]] = [a[pivot * n + k]!, a[c * n + k]!];
    [b[c], b[pivot]] = [b[pivot]!, b[c]!];
    for (let r = c + 1; r < n; r++) {
      const f = a[r * n + c]! / a[c * n + c]!;
      for (let k = c; k < n; k++) a[r * n + k]! -= f * a[c * n + k]!;
      b[r]! -= f * b[c]!;
    }
  }
  for (let r = n - 1; r >= 0; r--) {
    let sum = b[r]!;
    for (let k = r + 1; k < n; k++) sum -= a[r * n + k]! * b[k]!;
    b[r] = sum / a[r * n + r]!;
  }
  return b;
}
