import { FamilyEquations } from './family-equations.ts';
import { distrustSlips, QUICK_SHARE, samplesNear, type FamilyChannel, type Sample } from './family-samples.ts';

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

/** Where the instant lies. */
export interface FamilyPlace {
  readonly t: number;
  /** One standard deviation, seconds. */
  readonly sd: number;
  /** Mean square of what no member of the family explains, in units of the stated deviation: about 1 when it fits. */
  readonly misfit: number;
}

/** An instant farther than this from where it was looked for is looked for again around itself, seconds. Chosen. */
const MOVED_S = 0.015;
/** Trial instants, seconds: first these far apart, then finely around the best. */
const COARSE_STEP_S = 0.008;
const FINE_STEP_S = 0.003;
const FINE_REACH_S = 0.015;

/**
 * The instant at which a member of the family fits the samples best, looked for within `withinS` of `near`: posterior mean
 * and standard deviation, every way of varying, the place in the picture and lasting errors of each channel integrated out.
 * Works on uneven times; gaps (NaN) are left out. Null with fewer than two usable frames on
 * either side of `near`, or five in all.
 */
export function placeFamily(family: ShapeFamily, times: Float64Array, channels: readonly FamilyChannel[], near: number, withinS: number): FamilyPlace | null {
  const first = placeNear(family, times, channels, near, withinS);
  // A first guess far off looked at the wrong stretch.
  return first === null || Math.abs(first.t - near) < MOVED_S ? first : placeNear(family, times, channels, first.t, withinS) ?? first;
}

function placeNear(family: ShapeFamily, times: Float64Array, channels: readonly FamilyChannel[], near: number, withinS: number): FamilyPlace | null {
  if (channels.length !== family.channels) throw new RangeError(`${channels.length} channels for a family of ${family.channels}`);
  const samples = samplesNear(times, channels, near);
  if (samples === null) return null;
  const equations = new FamilyEquations(samples, family.channels, family.modes.length, near);
  const trials = (from: number, to: number, step: number): Trial[] => {
    const all: Trial[] = [];
    for (let t = from; t <= to + 1e-9; t += step) all.push({ t, log: logLikelihood(family, samples, t, equations) });
    return all;
  };
  const residualsAt = (t: number): Float64Array => {
    logLikelihood(family, samples, t, equations);
    return equations.residuals();
  };
  const best = (all: readonly Trial[]): Trial => all.reduce((a, b) => (b.log > a.log ? b : a));
  let top = best(trials(near - withinS, near + withinS, COARSE_STEP_S));
  distrustSlips(samples, residualsAt(top.t));
  top = best(trials(top.t - 2 * COARSE_STEP_S, top.t + 2 * COARSE_STEP_S, COARSE_STEP_S));
  const fine = trials(top.t - FINE_REACH_S, top.t + FINE_REACH_S, FINE_STEP_S);
  top = best(fine);
  let weight = 0;
  let first = 0;
  let second = 0;
  for (const { t, log } of fine) {
    const w = Math.exp(log - top.log);
    weight += w;
    first += w * (t - top.t);
    second += w * (t - top.t) ** 2;
  }
  const shift = first / weight;
  const misfit = residualsAt(top.t).reduce((sum, r, k) => sum + (r * samples[k]!.trust) ** 2, 0) / samples.length;
  return { t: top.t + shift, sd: Math.sqrt(Math.max(second / weight - shift ** 2, 0) + FINE_STEP_S ** 2 / 12), misfit };
}

interface Trial {
  readonly t: number;
  readonly log: number;
}

/** The family's tables with one knot's modes side by side, scaled. */
interface Tables {
  readonly knots: number;
  /** Per channel and knot: mean, deviation left over, then the modes. */
  readonly rows: Float64Array;
  readonly width: number;
}

const tables = new WeakMap<ShapeFamily, Tables>();

function tablesOf(family: ShapeFamily): Tables {
  const known = tables.get(family);
  if (known !== undefined) return known;
  const width = 2 + family.modes.length;
  const rows = new Float64Array(family.mean.length * width);
  family.mean.forEach((mean, k) => rows.set([mean, family.leftSd[k]!, ...family.modes.map((mode) => mode[k]!)].map((v) => v * family.unit), k * width));
  const fresh = { knots: family.mean.length / family.channels, rows, width };
  tables.set(family, fresh);
  return fresh;
}

/** Log marginal likelihood of the samples were the instant at `t`: a linear Gaussian model with the family's modes for its own coefficients, all of them integrated out. */
function logLikelihood(family: ShapeFamily, samples: readonly Sample[], t: number, equations: FamilyEquations): number {
  const { knots, rows, width } = tablesOf(family);
  const modes = family.modes.length;
  let logSd = 0;
  let square = 0;
  for (let k = 0; k < samples.length; k++) {
    const sample = samples[k]!;
    const place = Math.max(0, Math.min(knots - 1.001, (sample.t - t - family.fromS) / family.stepS));
    const knot = Math.floor(place);
    const low = (sample.channel * knots + knot) * width;
    const high = low + width;
    const u = place - knot;
    const left = rows[low + 1]! * (1 - u) + rows[high + 1]! * u;
    const sd = Math.sqrt((QUICK_SHARE * sample.sd) ** 2 + left * left) / sample.trust;
    const row = k * equations.width;
    for (let m = 0; m < modes; m++) equations.rows[row + m] = (rows[low + 2 + m]! * (1 - u) + rows[high + 2 + m]! * u) / sd;
    const off = (sample.value - rows[low]! * (1 - u) - rows[high]! * u) / sd;
    equations.setSample(k, sd, off);
    square += off * off;
    logSd += Math.log(sd);
  }
  const { explained, logRoot } = equations.weigh();
  return -0.5 * (square - explained) - logRoot - logSd;
}
