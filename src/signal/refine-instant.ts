import { factorise, solveLower, solveTransposed } from './cholesky.ts';
import { ANYWHERE, distrustSlips, DRIFT_SHARE, LASTING_SHARE, QUICK_SHARE, REACH_S, samplesNear, type FamilyChannel, type Sample } from './family-samples.ts';
import type { FamilyPlace, ShapeFamily } from './shape-family.ts';

/**
 * A first look at an instant put right by one linear step: the shift of the instant is estimated as one more coefficient
 * beside the family's ways of varying, the place in the picture and lasting errors of each channel. The likeliest of trial
 * instants also takes for evidence how much the family varies from knot to knot, which holds only for Gaussian families and
 * comes early where it falls at the instant; the step needs means and variances only. Both count by their own deviation. Works
 * on uneven times; gaps (NaN) are left out. Null with fewer than two usable frames on either side, or five in all.
 */
export function refineInstant(family: ShapeFamily, times: Float64Array, channels: readonly FamilyChannel[], first: Pick<FamilyPlace, 't' | 'sd'>): FamilyPlace | null {
  const samples = samplesNear(times, channels, first.t);
  if (samples === null) return null;
  distrustSlips(samples, shiftedFit(family, samples, first).residuals);
  const { shift, sd, residuals } = shiftedFit(family, samples, first);
  return { t: first.t + shift, sd, misfit: residuals.reduce((sum, off) => sum + off * off, 0) / samples.length };
}

/**
 * The family fitted to the samples with its instant at the first look, give or take its deviation, a linear Gaussian model: how
 * much later the instant is, and what the best member leaves of each sample in quick deviations. A shift moves a path by the
 * slope of its mean; its products with the modes do so by the modes' slopes and, uncorrelated with shift and modes, count as
 * coefficients of their own.
 */
function shiftedFit(
  family: ShapeFamily, samples: readonly Sample[], first: Pick<FamilyPlace, 't' | 'sd'>,
): { readonly shift: number; readonly sd: number; readonly residuals: Float64Array } {
  const knots = family.mean.length / family.channels;
  const shiftAt = family.modes.length;
  const paths = [family.mean, ...family.modes];
  const placeAt = shiftAt + paths.length;
  const size = placeAt + 2 + 2 * family.channels;
  const rows: Float64Array[] = [];
  const offs = new Float64Array(samples.length);
  const matrix = new Float64Array(size * size);
  const right = new Float64Array(size);
  samples.forEach(({ t, channel, value, sd: stated, trust }, k) => {
    const along = Math.max(0, Math.min(knots - 1.001, (t - first.t - family.fromS) / family.stepS));
    const knot = channel * knots + Math.floor(along);
    const u = along % 1;
    const at = (path: readonly number[]): number => family.unit * (path[knot]! * (1 - u) + path[knot + 1]! * u);
    const slope = (path: readonly number[]): number => (family.unit * (path[knot + 1]! - path[knot]!)) / family.stepS;
    const sd = Math.hypot(QUICK_SHARE * stated, at(family.leftSd)) / trust;
    const row = new Float64Array(size);
    row.set(family.modes.map(at));
    // A later instant: the sample shows an earlier part of the movement.
    row.set(paths.map((path) => -first.sd * slope(path)), shiftAt);
    row[placeAt + (channel % 2)] = ANYWHERE;
    row[placeAt + 2 + 2 * channel] = LASTING_SHARE * stated;
    row[placeAt + 3 + 2 * channel] = (DRIFT_SHARE * stated * (t - first.t)) / REACH_S;
    const off = (value - at(family.mean)) / sd;
    for (let a = 0; a < size; a++) {
      const entry = row[a]! / sd;
      row[a] = entry;
      if (entry === 0) continue;
      right[a] = right[a]! + entry * off;
      for (let b = 0; b <= a; b++) matrix[a * size + b] = matrix[a * size + b]! + entry * row[b]!;
    }
    rows.push(row);
    offs[k] = off;
  });
  for (let a = 0; a < size; a++) matrix[a * size + a] = matrix[a * size + a]! + 1;
  factorise(matrix, size);
  solveLower(matrix, right);
  solveTransposed(matrix, right);
  const unit = new Float64Array(size);
  unit[shiftAt] = 1;
  solveLower(matrix, unit);
  return {
    shift: first.sd * right[shiftAt]!,
    sd: first.sd * Math.hypot(...unit),
    residuals: offs.map((off, k) => off - rows[k]!.reduce((sum, entry, a) => sum + entry * right[a]!, 0)),
  };
}
