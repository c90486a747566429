import { frameSpacing } from './frame-spacing.ts';

/** A family of movements around an instant: what paths look like on average and in which ways they vary. */
export interface ShapeFamily {
  /** First knot, seconds from the instant, and their spacing. */
  readonly fromS: number;
  readonly stepS: number;
  readonly channels: number;
  /** Value of one in the tables below, in the unit of the samples. */
  readonly unit: number;
  /** Channel after channel, knot after knot. */
  readonly mean: readonly number[];
  /** Ways of varying, each one standard deviation large. */
  readonly modes: readonly (readonly number[])[];
  /** Standard deviation of what the modes leave over. */
  readonly leftSd: readonly number[];
}

/** One coordinate of one point through the clip. Channels take turns: x, y, x, y …; all x move together, and all y. */
export interface FamilyChannel {
  readonly values: Float64Array;
  /** One standard deviation of each sample, errors that last and errors that change from frame to frame together. */
  readonly sd: Float64Array;
}

/** Where the instant lies. */
export interface FamilyPlace {
  readonly t: number;
  /** One standard deviation, seconds. */
  readonly sd: number;
  /** Mean square of what no member of the family explains, in units of the stated deviation: about 1 when it fits. */
  readonly misfit: number;
}

/** How far from the instant samples are looked at, seconds. Chosen: where the family's own paths still say something. */
const REACH_S = 0.085;
/** In slow clips so many frames are looked at all the same. Chosen: enough for place, speed and break of a path. */
const REACH_FRAMES = 3.6;
/** Shares of a sample's stated deviation that change from frame to frame, that stay, and that drift over the window. From 24 tracks against truth: neighbouring frames' errors correlate by 0.7, frames four apart by 0.5. */
const QUICK_SHARE = 0.6;
const LASTING_SHARE = 0.7;
const DRIFT_SHARE = 0.4;
/** An instant farther than this from where it was looked for is looked for again around itself, seconds. Chosen. */
const MOVED_S = 0.015;
/** A sample beyond this many deviations counts no more than one at it. Chosen. */
const OUTLIER_SD = 2.5;
/** Trial instants of the first look lie this far apart, seconds. */
const TRIAL_STEP_S = 0.008;
/** How far the instant may lie from where a step looks for it, one standard deviation, seconds. Chosen on drawn motions (3 to 6 ms give the same to a tenth). */
const SHIFT_SD_S = 0.004;
/** Steps end when the instant moves less than this, seconds, or after so many. */
const SETTLED_S = 1e-4;
const MOST_STEPS = 12;

/**
 * The instant at which a member of the family passes through the samples, looked for within `withinS` of `near`. A first look
 * takes the likeliest of trial instants; from there the instant itself is estimated as one more coefficient of the family, by
 * linear steps. Those need only that the family's means and variances are right, where likelihoods of instants need its whole
 * distribution, which no family drawn from a few hundred motions has. Every way of varying, the place in the picture and
 * lasting errors of each channel are estimated beside it. Works on uneven times; gaps (NaN) are left out. Null with fewer than
 * two usable frames on either side, or five in all.
 */
export function placeFamily(family: ShapeFamily, times: Float64Array, channels: readonly FamilyChannel[], near: number, withinS: number): FamilyPlace | null {
  if (channels.length !== family.channels) throw new RangeError(`${channels.length} channels for a family of ${family.channels}`);
  const first = likeliest(family, times, channels, near, withinS);
  // A first guess far off looked at the wrong stretch.
  const start = first === null || Math.abs(first - near) < MOVED_S ? first : likeliest(family, times, channels, first, withinS) ?? first;
  return start === null ? null : settle(family, times, channels, start);
}

/** The likeliest of trial instants within `withinS` of `near`. */
function likeliest(family: ShapeFamily, times: Float64Array, channels: readonly FamilyChannel[], near: number, withinS: number): number | null {
  const samples = samplesNear(times, channels, near);
  if (samples === null) return null;
  const best = (from: number, to: number): number => {
    let top = { t: near, log: -Infinity };
    for (let t = from; t <= to + 1e-9; t += TRIAL_STEP_S) {
      const { log } = fitAt(family, samples, t, near, 0);
      if (log > top.log) top = { t, log };
    }
    return top.t;
  };
  const top = best(near - withinS, near + withinS);
  distrust(samples, fitAt(family, samples, top, near, 0).residuals);
  return best(top - 2 * TRIAL_STEP_S, top + 2 * TRIAL_STEP_S);
}

/** Steps from instant to instant until it stays. */
function settle(family: ShapeFamily, times: Float64Array, channels: readonly FamilyChannel[], start: number): FamilyPlace | null {
  let place: FamilyPlace | null = null;
  let t = start;
  for (let step = 0; step < MOST_STEPS; step++) {
    const samples = samplesNear(times, channels, t);
    if (samples === null) return place;
    distrust(samples, fitAt(family, samples, t, t, SHIFT_SD_S).residuals);
    const { shift, shiftSd, residuals } = fitAt(family, samples, t, t, SHIFT_SD_S);
    const misfit = residuals.reduce((sum, r, k) => sum + (r * samples[k]!.trust) ** 2, 0) / samples.length;
    t += shift;
    place = { t, sd: shiftSd, misfit };
    if (Math.abs(shift) < SETTLED_S) break;
  }
  return place;
}

/** The samples around an instant; null when too few frames show it. */
function samplesNear(times: Float64Array, channels: readonly FamilyChannel[], near: number): Sample[] | null {
  const samples: Sample[] = [];
  const frames = new Set<number>();
  const reachS = Math.max(REACH_S, REACH_FRAMES * frameSpacing(times, near));
  times.forEach((t, i) => {
    if (Math.abs(t - near) > reachS) return;
    channels.forEach(({ values, sd }, channel) => {
      const value = values[i]!;
      const deviation = sd[i]!;
      if (!Number.isFinite(value) || !(deviation > 0)) return;
      samples.push({ t, channel, value, sd: deviation, trust: 1 });
      frames.add(i);
    });
  });
  const before = [...frames].filter((i) => times[i]! <= near).length;
  return before < 2 || frames.size - before < 2 || frames.size < 5 ? null : samples;
}

/** Samples that even the best member leaves far off are slips of the model. */
function distrust(samples: readonly Sample[], residuals: Float64Array): void {
  samples.forEach((sample, k) => {
    const off = Math.abs(residuals[k]!);
    if (off > OUTLIER_SD) sample.trust = OUTLIER_SD / off;
  });
}

interface Sample {
  readonly t: number;
  readonly channel: number;
  readonly value: number;
  readonly sd: number;
  /** 1, less for a slip. */
  trust: number;
}

/** How far apart a channel's place may be anywhere in the picture, in units of the samples: as good as free. */
const ANYWHERE = 10;

/** The family's tables with what belongs to one knot side by side, scaled. */
interface Tables {
  readonly knots: number;
  /** Per channel and knot: mean, deviation left over, the modes, then the slopes of mean and modes, per second. */
  readonly rows: Float64Array;
  readonly width: number;
}

const tables = new WeakMap<ShapeFamily, Tables>();

function tablesOf(family: ShapeFamily): Tables {
  const known = tables.get(family);
  if (known !== undefined) return known;
  const knots = family.mean.length / family.channels;
  const slope = (path: readonly number[], k: number): number => {
    const before = k % knots === 0 ? k : k - 1;
    const after = k % knots === knots - 1 ? k : k + 1;
    return (path[after]! - path[before]!) / ((after - before) * family.stepS);
  };
  const paths = [family.mean, ...family.modes];
  const width = 2 * paths.length + 1;
  const rows = new Float64Array(family.mean.length * width);
  family.mean.forEach((mean, k) => {
    const row = [mean, family.leftSd[k]!, ...family.modes.map((mode) => mode[k]!), ...paths.map((path) => slope(path, k))];
    rows.set(row.map((v) => v * family.unit), k * width);
  });
  const fresh = { knots, rows, width };
  tables.set(family, fresh);
  return fresh;
}

/** What a fit of the family at one instant says. */
interface Fit {
  /** Log marginal likelihood of the samples. */
  readonly log: number;
  /** How much later than the instant looked at, seconds, and one standard deviation. 0 where no shift was allowed. */
  readonly shift: number;
  readonly shiftSd: number;
  /** What the best member leaves of each sample, in quick deviations. */
  readonly residuals: Float64Array;
}

/**
 * The family fitted to the samples were the instant at `t`, give or take `shiftSd` seconds: a linear Gaussian model.
 * Coefficients: the modes, x and y of the place, a lasting error and a drift of each channel, and, where a shift is allowed,
 * the shift, which moves a path by the slope of its mean, and its products with the modes, which do so by the modes' slopes.
 * Uncorrelated with the modes and the shift as they are, the products count as coefficients of their own.
 */
function fitAt(family: ShapeFamily, samples: readonly Sample[], t: number, near: number, shiftSd: number): Fit {
  const { knots, rows, width } = tablesOf(family);
  const modes = family.modes.length;
  const ways = shiftSd > 0 ? 2 * modes + 1 : modes;
  const size = ways + 2 + 2 * family.channels;
  const matrix = new Float64Array(size * size);
  const right = new Float64Array(size);
  const used = ways + 3;
  const design = new Float64Array(samples.length * used);
  const offs = new Float64Array(samples.length);
  // Where the columns of a sample stand among the coefficients, channel by channel.
  const columns = new Int32Array(family.channels * used);
  for (let channel = 0; channel < family.channels; channel++) {
    for (let a = 0; a < ways; a++) columns[channel * used + a] = a;
    columns.set([ways + (channel % 2), ways + 2 + 2 * channel, ways + 3 + 2 * channel], channel * used + ways);
  }
  let logSd = 0;
  let square = 0;
  for (let k = 0; k < samples.length; k++) {
    const sample = samples[k]!;
    const place = Math.max(0, Math.min(knots - 1.001, (sample.t - t - family.fromS) / family.stepS));
    const low = (sample.channel * knots + Math.floor(place)) * width;
    const high = low + width;
    const u = place - Math.floor(place);
    const table = (column: number): number => rows[low + column]! * (1 - u) + rows[high + column]! * u;
    const left = table(1);
    const sd = Math.sqrt((QUICK_SHARE * sample.sd) ** 2 + left * left) / sample.trust;
    const row = k * used;
    for (let m = 0; m < modes; m++) design[row + m] = table(2 + m) / sd;
    // A later instant moves the paths to the right.
    for (let m = modes; m < ways; m++) design[row + m] = (-shiftSd * table(2 + m)) / sd;
    design[row + ways] = ANYWHERE / sd;
    design[row + ways + 1] = (LASTING_SHARE * sample.sd) / sd;
    design[row + ways + 2] = (DRIFT_SHARE * sample.sd * (sample.t - near)) / REACH_S / sd;
    const off = (sample.value - table(0)) / sd;
    offs[k] = off;
    square += off * off;
    logSd += Math.log(sd);
    const column = sample.channel * used;
    for (let a = 0; a < used; a++) {
      const value = design[row + a]!;
      const at = columns[column + a]!;
      right[at] = right[at]! + value * off;
      for (let b = 0; b <= a; b++) {
        const entry = at * size + columns[column + b]!;
        matrix[entry] = matrix[entry]! + value * design[row + b]!;
      }
    }
  }
  for (let a = 0; a < size; a++) matrix[a * size + a] = matrix[a * size + a]! + 1;
  const logRoot = factorise(matrix, size);
  const z = solveLower(matrix, size, right);
  const explained = z.reduce((sum, v) => sum + v * v, 0);
  const coefficients = solveUpper(matrix, size, z);
  const residuals = offs.map((off, k) => {
    const column = samples[k]!.channel * used;
    let fitted = 0;
    for (let a = 0; a < used; a++) fitted += design[k * used + a]! * coefficients[columns[column + a]!]!;
    return off - fitted;
  });
  // The shift's own variance: with L z = its unit vector, the square of z.
  const unit = new Float64Array(size);
  unit[modes] = 1;
  const spread = shiftSd > 0 ? Math.sqrt(solveLower(matrix, size, unit).reduce((sum, v) => sum + v * v, 0)) : 0;
  return { log: -0.5 * (square - explained) - logRoot - logSd, shift: shiftSd * coefficients[modes]!, shiftSd: shiftSd * spread, residuals };
}

/** z of L z = right, L in the lower triangle of the matrix. */
function solveLower(matrix: Float64Array, size: number, right: Float64Array): Float64Array {
  const z = right.slice();
  for (let a = 0; a < size; a++) {
    let sum = z[a]!;
    for (let b = 0; b < a; b++) sum -= matrix[a * size + b]! * z[b]!;
    z[a] = sum / matrix[a * size + a]!;
  }
  return z;
}

/** c of Lᵀ c = right, L in the lower triangle of the matrix. */
function solveUpper(matrix: Float64Array, size: number, right: Float64Array): Float64Array {
  const c = right.slice();
  for (let a = size - 1; a >= 0; a--) {
    let sum = c[a]!;
    for (let b = a + 1; b < size; b++) sum -= matrix[b * size + a]! * c[b]!;
    c[a] = sum / matrix[a * size + a]!;
  }
  return c;
}

/** Cholesky factor of a symmetric positive matrix, in place in its lower triangle; the log of its diagonal's product. */
function factorise(matrix: Float64Array, size: number): number {
  let log = 0;
  for (let a = 0; a < size; a++) {
    for (let b = 0; b <= a; b++) {
      let sum = matrix[a * size + b]!;
      for (let c = 0; c < b; c++) sum -= matrix[a * size + c]! * matrix[b * size + c]!;
      matrix[a * size + b] = a === b ? Math.sqrt(sum) : sum / matrix[b * size + b]!;
    }
    log += Math.log(matrix[a * size + a]!);
  }
  return log;
}
