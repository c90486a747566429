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
  const samples = samplesOf(times, x, y, from, to);
  const count = samples.t.length;
  if (count < FEWEST_FRAMES) return null;
  const [start, latest, end] = [samples.t[0]!, samples.t[count - FRAMES_AFTER]!, samples.t[count - 1]!];
  const trials: Trial[] = [];
  for (let tau = start; tau <= latest; tau += TRIAL_S) {
    const trial = tryOnset(samples, tau, distance);
    if (trial !== null) trials.push(trial);
  }
  if (trials.length === 0) return null;
  const least = trials.reduce((lowest, { sse }) => Math.min(lowest, sse), Infinity);
  const memory = Math.max(1, (ERROR_MEMORY_S * (count - 1)) / (end - start));
  const variance = memory * Math.max(leastNoise ** 2, least / (2 * (count - TERMS) - 1));
  const weights = trials.map(({ sse }) => Math.exp((least - sse) / (2 * variance)));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const mean = (value: (trial: Trial) => number): number => trials.reduce((sum, trial, k) => sum + weights[k]! * value(trial), 0) / total;
  const t = mean((trial) => trial.t);
  return { t, sd: Math.sqrt(mean((trial) => (trial.t - t) ** 2 + (variance * trial.placeNoise) / trial.speed ** 2)), speed: mean(({ speed }) => speed) };
}

/** The frames in which a point is seen, its place from the first of them, and the sum of its squares. */
interface Samples {
  readonly t: readonly number[];
  readonly x: readonly number[];
  readonly y: readonly number[];
  readonly squares: number;
}

function samplesOf(times: Float64Array, x: Float64Array, y: Float64Array, from: number, to: number): Samples {
  const rows: number[] = [];
  for (let i = from; i <= to; i++) if (Number.isFinite(x[i]) && Number.isFinite(y[i])) rows.push(i);
  const fromFirst = (values: Float64Array): number[] => rows.map((i) => values[i]! - values[rows[0]!]!);
  const [xs, ys] = [fromFirst(x), fromFirst(y)];
  return { t: rows.map((i) => times[i]!), x: xs, y: ys, squares: [...xs, ...ys].reduce((sum, value) => sum + value * value, 0) };
}

interface Trial {
  /** Sum of the squared errors. */
  readonly sse: number;
  readonly t: number;
  readonly speed: number;
  /** Variance of the distance at `t` for noise of 1 in each frame. */
  readonly placeNoise: number;
}

/** The departure that begins at tau and fits best; null where it does not get `distance` away within the samples. */
function tryOnset({ t, x, y, squares }: Samples, tau: number, distance: number): Trial | null {
  const end = t[t.length - 1]!;
  const scale = end - tau;
  // Sums over the samples of the powers of s, in the unit `scale`, and of x and y with 1, s² and s³.
  let s2 = 0, s3 = 0, s4 = 0, s5 = 0, s6 = 0;
  const ofX = new Float64Array(TERMS);
  const ofY = new Float64Array(TERMS);
  for (let i = 0; i < t.length; i++) {
    ofX[0]! += x[i]!;
    ofY[0]! += y[i]!;
    if (t[i]! <= tau) continue;
    const s = (t[i]! - tau) / scale;
    const square = s * s;
    const cube = square * s;
    s2 += square;
    s3 += cube;
    s4 += square * square;
    s5 += square * cube;
    s6 += cube * cube;
    ofX[1]! += square * x[i]!;
    ofX[2]! += cube * x[i]!;
    ofY[1]! += square * y[i]!;
    ofY[2]! += cube * y[i]!;
  }
  const normal = Float64Array.of(t.length, 0, 0, s2, s4, 0, s3, s5, s6);
  if (!Number.isFinite(factorise(normal, TERMS))) return null;
  let explained = 0;
  for (const right of [ofX, ofY]) {
    solveLower(normal, right);
    explained += right[0]! ** 2 + right[1]! ** 2 + right[2]! ** 2;
    solveTransposed(normal, right);
  }
  const away = (at: number): number => {
    const s = Math.max(0, at - tau) / scale;
    const [alongX, alongY] = [ofX[1]! + s * ofX[2]!, ofY[1]! + s * ofY[2]!];
    return s * s * Math.sqrt(alongX * alongX + alongY * alongY);
  };
  const reach = firstReach(away, tau, end, distance);
  if (reach === null) return null;
  const s = (reach.t - tau) / scale;
  const response = Float64Array.of(0, s * s, s * s * s);
  solveLower(normal, response);
  return { sse: Math.max(0, squares - explained), ...reach, placeNoise: response[1]! ** 2 + response[2]! ** 2 };
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
