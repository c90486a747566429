import { factorise, solveLower, solveTransposed } from './cholesky.ts';

/** When a point that rested is a stated distance from where it rested, seconds, how far that may be off (one standard deviation), and its speed then, units a second. */
export interface Departure {
  readonly t: number;
  readonly sd: number;
  readonly speed: number;
}

/** Trial instants of the first stir lie this far apart, seconds. Chosen: a frame at 240 a second. */
const TRIAL_S = 1 / 240;
/** Errors of neighbouring frames are alike over about this long, seconds: what looks like many frames tells as much as a few. Chosen. */
const ERROR_MEMORY_S = 0.05;
/** Fewest frames that tell a rest and a departure apart, and fewest of them in the departure. */
const FEWEST_FRAMES = 7;
const FRAMES_AFTER = 3;
const TERMS = 3;

/**
 * The instant at which a point is `distance` from where it rested, read off the frames `from` to `to`: through them it first
 * rests, then departs. Null where it never gets that far, or with too few frames. `leastNoise` is the least that a frame's
 * place is taken to be off, one standard deviation, in the unit of `x`, `y` and `distance`.
 *
 * p = rest + a·s² + b·s³ with s = max(0, t − τ): the lowest powers of a movement that begins without speed. Least squares in
 * the linear terms for each trial τ; the instants that the trials give are averaged, each weighed by how well it fits, so that
 * nothing is smoothed and no threshold is crossed by noise. A slow departure is as well known as the whole of it tells, not as
 * the few frames around the distance do. Times are true timestamps; NaN frames are skipped.
 */
export function leavesRest(
  times: Float64Array, x: Float64Array, y: Float64Array, from: number, to: number, distance: number, leastNoise: number,
): Departure | null {
  const rows: number[] = [];
  for (let i = from; i <= to; i++) if (Number.isFinite(x[i]) && Number.isFinite(y[i])) rows.push(i);
  if (rows.length < FEWEST_FRAMES) return null;
  const [start, end] = [times[rows[0]!]!, times[rows[rows.length - 1]!]!];
  const trials: Trial[] = [];
  const latest = times[rows[rows.length - FRAMES_AFTER]!]!;
  for (let tau = start; tau <= latest; tau += TRIAL_S) {
    const trial = tryOnset(times, x, y, rows, tau, end, distance);
    if (trial !== null) trials.push(trial);
  }
  if (trials.length === 0) return null;
  const least = Math.min(...trials.map(({ sse }) => sse));
  const memory = Math.max(1, (ERROR_MEMORY_S * (rows.length - 1)) / (end - start));
  const variance = memory * Math.max(leastNoise ** 2, least / (2 * (rows.length - TERMS) - 1));
  const weights = trials.map(({ sse }) => Math.exp((least - sse) / (2 * variance)));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const mean = (value: (trial: Trial) => number): number => trials.reduce((sum, trial, k) => sum + weights[k]! * value(trial), 0) / total;
  const t = mean((trial) => trial.t);
  return { t, sd: Math.sqrt(mean((trial) => (trial.t - t) ** 2 + (variance * trial.placeNoise) / trial.speed ** 2)), speed: mean(({ speed }) => speed) };
}

interface Trial {
  readonly sse: number;
  readonly t: number;
  readonly speed: number;
  /** Variance of the distance at `t` for noise of 1 in each frame. */
  readonly placeNoise: number;
}

/** The departure that begins at tau and fits best; null where it does not get `distance` away before `end`. */
function tryOnset(times: Float64Array, x: Float64Array, y: Float64Array, rows: readonly number[], tau: number, end: number, distance: number): Trial | null {
  const scale = end - tau;
  const powers = (t: number): readonly [number, number] => {
    const s = Math.max(0, t - tau) / scale;
    return [s * s, s * s * s];
  };
  const normal = new Float64Array(TERMS * TERMS);
  const right = [new Float64Array(TERMS), new Float64Array(TERMS)] as const;
  for (const i of rows) {
    const terms = [1, ...powers(times[i]!)];
    for (let a = 0; a < TERMS; a++) {
      for (let b = 0; b <= a; b++) normal[a * TERMS + b]! += terms[a]! * terms[b]!;
      right[0][a]! += terms[a]! * x[i]!;
      right[1][a]! += terms[a]! * y[i]!;
    }
  }
  if (!Number.isFinite(factorise(normal, TERMS))) return null;
  for (const one of right) {
    solveLower(normal, one);
    solveTransposed(normal, one);
  }
  const away = (t: number): number => {
    const [square, cube] = powers(t);
    return Math.hypot(...right.map((one) => one[1]! * square + one[2]! * cube));
  };
  const reach = firstReach(away, tau, end, distance);
  if (reach === null || !(reach.speed > 0)) return null;
  let sse = 0;
  for (const i of rows) {
    const [square, cube] = powers(times[i]!);
    for (const [values, one] of [[x, right[0]], [y, right[1]]] as const) sse += (values[i]! - one[0]! - one[1]! * square - one[2]! * cube) ** 2;
  }
  const response = Float64Array.from([0, ...powers(reach.t)]);
  solveLower(normal, response);
  return { sse, ...reach, placeNoise: response.reduce((sum, value) => sum + value * value, 0) };
}

/** Steps between tau and the end in which the distance is looked at. */
const REACH_STEPS = 60;

/** When a distance that grows from 0 at `from` first reaches `distance`, and how fast it then grows. */
function firstReach(away: (t: number) => number, from: number, to: number, distance: number): { t: number; speed: number } | null {
  let before = 0;
  for (let k = 1; k <= REACH_STEPS; k++) {
    const here = away(from + ((to - from) * k) / REACH_STEPS);
    if (here >= distance) {
      const step = (to - from) / REACH_STEPS;
      return { t: from + step * (k - 1 + (distance - before) / (here - before)), speed: (here - before) / step };
    }
    before = here;
  }
  return null;
}
