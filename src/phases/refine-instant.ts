import { frameSpacing } from '../signal/frame-spacing.ts';
import type { FamilyChannel, FamilyPlace, ShapeFamily } from '../signal/shape-family.ts';
import type { Instant } from './moment.ts';

/** How far from the instant frames are looked at, seconds, and in slow clips at least so many frames. Chosen: as in the first look. */
const REACH_S = 0.085;
const REACH_FRAMES = 3.6;
/** Shares of a sample's stated deviation that change from frame to frame, that stay, and that drift over the window. From 24 tracks against truth: neighbouring frames' errors correlate by 0.7, frames four apart by 0.5. */
const QUICK_SHARE = 0.6;
const LASTING_SHARE = 0.7;
const DRIFT_SHARE = 0.4;
/** How far apart a path's place may be anywhere in the picture, in units of the samples: as good as free. */
const ANYWHERE = 10;
/** A sample beyond this many deviations counts less than one at it. Chosen. */
const OUTLIER_SD = 2.5;

/**
 * A first look at an instant put right by one linear step: the shift of the instant is estimated as one more coefficient
 * beside the family's ways of varying, the place in the picture and lasting errors of each channel. The likeliest of trial
 * instants also takes for evidence how much the family varies from knot to knot, which holds only for Gaussian families and
 * comes early where it falls at the instant; the step needs means and variances only. Both count by their own deviation. Works
 * on uneven times; gaps (NaN) are left out. Null with fewer than two usable frames on either side, or five in all.
 */
export function refineInstant(family: ShapeFamily, times: Float64Array, channels: readonly FamilyChannel[], first: Instant): FamilyPlace | null {
  const samples = samplesNear(times, channels, first.t);
  if (samples === null) return null;
  // What even the best member leaves far off is a slip of the model.
  const trust = shiftedFit(family, samples, first).residuals.map((off) => Math.min(1, OUTLIER_SD / Math.abs(off)));
  const { shift, sd, residuals } = shiftedFit(family, samples.map((sample, k) => ({ ...sample, trust: trust[k]! })), first);
  return { t: first.t + shift, sd, misfit: residuals.reduce((sum, off) => sum + off * off, 0) / samples.length };
}

interface Sample {
  readonly t: number;
  readonly channel: number;
  readonly value: number;
  readonly sd: number;
  /** 1, less for a slip. */
  readonly trust: number;
}

/** The samples around an instant; null when too few frames show it. */
function samplesNear(times: Float64Array, channels: readonly FamilyChannel[], near: number): Sample[] | null {
  const reachS = Math.max(REACH_S, REACH_FRAMES * frameSpacing(times, near));
  const samples = channels.flatMap(({ values, sd }, channel) => Array.from(times, (t, frame): Sample => ({ t, channel, value: values[frame]!, sd: sd[frame]!, trust: 1 })))
    .filter((sample) => Math.abs(sample.t - near) <= reachS && Number.isFinite(sample.value) && sample.sd > 0);
  const seen = [...new Set(samples.map(({ t }) => t))];
  const before = seen.filter((t) => t <= near).length;
  return before < 2 || seen.length - before < 2 || seen.length < 5 ? null : samples;
}

/**
 * The family fitted to the samples with its instant at the first look, give or take its deviation, a linear Gaussian model: how
 * much later the instant is, and what the best member leaves of each sample in quick deviations. A shift moves a path by the
 * slope of its mean; its products with the modes do so by the modes' slopes and, uncorrelated with shift and modes, count as
 * coefficients of their own.
 */
function shiftedFit(family: ShapeFamily, samples: readonly Sample[], first: Instant): { readonly shift: number; readonly sd: number; readonly residuals: readonly number[] } {
  const knots = family.mean.length / family.channels;
  const shiftAt = family.modes.length;
  const paths = [family.mean, ...family.modes];
  const placeAt = 2 * paths.length - 1;
  const size = placeAt + 2 + 2 * family.channels;
  const rows: Float64Array[] = [];
  const offs: number[] = [];
  for (const { t, channel, value, sd: stated, trust } of samples) {
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
    rows.push(row.map((entry) => entry / sd));
    offs.push((value - at(family.mean)) / sd);
  }
  const root = rootOf(rows, size);
  const right = new Float64Array(size);
  rows.forEach((row, k) => row.forEach((entry, a) => { right[a] = right[a]! + entry * offs[k]!; }));
  const coefficients = solveUpper(root, solveLower(root, right));
  const residuals = offs.map((off, k) => off - rows[k]!.reduce((sum, entry, a) => sum + entry * coefficients[a]!, 0));
  const unit = new Float64Array(size);
  unit[shiftAt] = 1;
  return { shift: first.sd * coefficients[shiftAt]!, sd: first.sd * Math.hypot(...solveLower(root, unit)), residuals };
}

/** Cholesky factor L of 1 + the rows' own products, lower triangle, row after row. */
function rootOf(rows: readonly Float64Array[], size: number): Float64Array[] {
  const root = Array.from({ length: size }, (_, a) => new Float64Array(size).fill(1, a, a + 1));
  for (const row of rows) {
    for (let a = 0; a < size; a++) {
      const entry = row[a]!;
      if (entry === 0) continue;
      const into = root[a]!;
      for (let b = 0; b <= a; b++) into[b] = into[b]! + entry * row[b]!;
    }
  }
  root.forEach((own, a) => {
    for (let b = 0; b <= a; b++) {
      const other = root[b]!;
      let sum = own[b]!;
      for (let c = 0; c < b; c++) sum -= own[c]! * other[c]!;
      own[b] = a === b ? Math.sqrt(sum) : sum / other[b]!;
    }
  });
  return root;
}

/** z of L z = right. */
function solveLower(root: readonly Float64Array[], right: Float64Array): Float64Array {
  const z = right.slice();
  root.forEach((row, a) => {
    for (let b = 0; b < a; b++) z[a] = z[a]! - row[b]! * z[b]!;
    z[a] = z[a]! / row[a]!;
  });
  return z;
}

/** c of Lᵀ c = right. */
function solveUpper(root: readonly Float64Array[], right: Float64Array): Float64Array {
  const c = right.slice();
  for (let a = root.length - 1; a >= 0; a--) {
    for (let b = a + 1; b < root.length; b++) c[a] = c[a]! - root[b]![a]! * c[b]!;
    c[a] = c[a]! / root[a]![a]!;
  }
  return c;
}
