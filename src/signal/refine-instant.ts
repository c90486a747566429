import { FamilyEquations } from './family-equations.ts';
import { distrustSlips, QUICK_SHARE, samplesNear, type FamilyChannel, type Sample } from './family-samples.ts';
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
  const { fromS, stepS, unit, modes, mean, leftSd } = family;
  const knots = mean.length / family.channels;
  const paths = [mean, ...modes];
  const equations = new FamilyEquations(samples, family.channels, modes.length + paths.length, first.t);
  samples.forEach(({ t, channel, value, sd: stated, trust }, k) => {
    const along = Math.max(0, Math.min(knots - 1.001, (t - first.t - fromS) / stepS));
    const knot = channel * knots + Math.floor(along);
    const u = along % 1;
    const at = (path: readonly number[]): number => unit * (path[knot]! * (1 - u) + path[knot + 1]! * u);
    const sd = Math.hypot(QUICK_SHARE * stated, at(leftSd)) / trust;
    let to = k * equations.width;
    for (const mode of modes) equations.rows[to++] = at(mode) / sd;
    // A later instant: the sample shows an earlier part of the movement.
    for (const path of paths) equations.rows[to++] = (-first.sd * ((unit * (path[knot + 1]! - path[knot]!)) / stepS)) / sd;
    equations.setSample(k, sd, (value - at(mean)) / sd);
  });
  equations.weigh();
  const residuals = equations.residuals();
  return { shift: first.sd * equations.coefficients[modes.length]!, sd: first.sd * equations.sdOf(modes.length), residuals };
}
