import { factorise, solveLower, solveTransposed } from './cholesky.ts';
import { ANYWHERE, DRIFT_SHARE, LASTING_SHARE, REACH_S, type Sample } from './family-samples.ts';

/**
 * Samples near an instant as the equations of a linear Gaussian model whose coefficients have mean 0 and deviation 1 before any
 * sample is seen: `own` coefficients that the caller gives a meaning, then x and y of the place in the picture, then a lasting
 * error and a drift of each channel. One row a sample, in its quick deviations. Made once for some samples and filled anew for
 * every trial: each row's own entries and `setSample`, then `weigh`, then, where they are wanted, `residuals`.
 */
export class FamilyEquations {
  /** Row after row: the caller's entries, x and y of the place, the lasting error and the drift of the sample's channel. */
  readonly rows: Float64Array;
  readonly width: number;
  /** What the family's mean leaves of each sample. */
  readonly offs: Float64Array;
  /** The likeliest coefficients, once the residuals have been asked for. */
  readonly coefficients: Float64Array;
  readonly #samples: readonly Sample[];
  readonly #near: number;
  /** Where the coefficients of each sample's channel begin. */
  readonly #channelAt: Int32Array;
  /** How many coefficients all channels share. */
  readonly #shared: number;
  readonly #size: number;
  /** The normal equations, then their triangle. */
  readonly #matrix: Float64Array;

  constructor(samples: readonly Sample[], channels: number, own: number, near: number) {
    this.#samples = samples;
    this.#near = near;
    this.#shared = own + 2;
    this.#size = this.#shared + 2 * channels;
    this.width = this.#shared + 2;
    this.#channelAt = Int32Array.from(samples, ({ channel }) => own + 2 + 2 * channel);
    this.rows = new Float64Array(samples.length * this.width);
    this.offs = new Float64Array(samples.length);
    this.coefficients = new Float64Array(this.#size);
    this.#matrix = new Float64Array(this.#size ** 2);
  }

  /** Takes in sample `k`: its quick deviation, and what the mean leaves of it in these. */
  setSample(k: number, quickSd: number, off: number): void {
    const { t, channel, sd } = this.#samples[k]!;
    const place = k * this.width + this.#shared - 2;
    const isX = channel % 2 === 0;
    this.rows[place] = isX ? ANYWHERE / quickSd : 0;
    this.rows[place + 1] = isX ? 0 : ANYWHERE / quickSd;
    this.rows[place + 2] = (LASTING_SHARE * sd) / quickSd;
    this.rows[place + 3] = (DRIFT_SHARE * sd * (t - this.#near)) / REACH_S / quickSd;
    this.offs[k] = off;
  }

  /** How much of the sum of the squared offs the coefficients explain, and the log of the root of their equations' determinant: what their likelihood is made of once they are integrated out. */
  weigh(): { readonly explained: number; readonly logRoot: number } {
    this.#gather();
    const logRoot = factorise(this.#matrix, this.#size);
    solveLower(this.#matrix, this.coefficients);
    let explained = 0;
    for (let a = 0; a < this.#size; a++) explained += this.coefficients[a]! * this.coefficients[a]!;
    return { explained, logRoot };
  }

  /** What the likeliest coefficients leave of each sample, in quick deviations; once after each `weigh`. */
  residuals(): Float64Array {
    const { rows, width, offs, coefficients } = this;
    const shared = this.#shared;
    solveTransposed(this.#matrix, coefficients);
    const left = new Float64Array(offs.length);
    for (let k = 0; k < left.length; k++) {
      const at = k * width;
      const own = this.#channelAt[k]!;
      let fitted = 0;
      for (let a = 0; a < shared; a++) fitted += rows[at + a]! * coefficients[a]!;
      fitted += rows[at + shared]! * coefficients[own]!;
      fitted += rows[at + shared + 1]! * coefficients[own + 1]!;
      left[k] = offs[k]! - fitted;
    }
    return left;
  }

  /** One standard deviation of a coefficient once the samples are seen, 0 to 1. */
  sdOf(coefficient: number): number {
    const unit = new Float64Array(this.#size);
    unit[coefficient] = 1;
    solveLower(this.#matrix, unit);
    return Math.hypot(...unit);
  }

  /** The lower triangle of the normal equations, and their right side in the coefficients' place. */
  #gather(): void {
    const { rows, width, offs, coefficients } = this;
    const matrix = this.#matrix;
    const size = this.#size;
    const shared = this.#shared;
    gatherProducts(rows, width, shared, matrix, size);
    // A channel's coefficients meet its own samples alone.
    matrix.fill(0, shared * size);
    coefficients.fill(0);
    for (let k = 0; k < offs.length; k++) {
      const at = k * width;
      const off = offs[k]!;
      const lasting = rows[at + shared]!;
      const drift = rows[at + shared + 1]!;
      const own = this.#channelAt[k]!;
      const row = own * size;
      const next = row + size;
      for (let a = 0; a < shared; a++) {
        const entry = rows[at + a]!;
        coefficients[a] = coefficients[a]! + entry * off;
        matrix[row + a] = matrix[row + a]! + lasting * entry;
        matrix[next + a] = matrix[next + a]! + drift * entry;
      }
      coefficients[own] = coefficients[own]! + lasting * off;
      coefficients[own + 1] = coefficients[own + 1]! + drift * off;
      matrix[row + own] = matrix[row + own]! + lasting * lasting;
      matrix[next + own] = matrix[next + own]! + drift * lasting;
      matrix[next + own + 1] = matrix[next + own + 1]! + drift * drift;
    }
    for (let a = 0; a < size; a++) matrix[a * size + a] = matrix[a * size + a]! + 1;
  }
}

/** Sums over all rows of the products of their first `columns` entries with one another, into the lower triangle of a square with sides of `size`; what lies beside and right below it is overwritten. */
function gatherProducts(rows: Float64Array, width: number, columns: number, matrix: Float64Array, size: number): void {
  // Two rows by two columns of the triangle at a time: four sums that do not wait for one another.
  for (let a = 0; a < columns; a += 2) {
    for (let b = 0; b <= a; b += 2) {
      let s00 = 0, s01 = 0, s10 = 0, s11 = 0;
      for (let at = 0; at < rows.length; at += width) {
        const a0 = rows[at + a]!;
        const a1 = rows[at + a + 1]!;
        const b0 = rows[at + b]!;
        const b1 = rows[at + b + 1]!;
        s00 += a0 * b0;
        s01 += a0 * b1;
        s10 += a1 * b0;
        s11 += a1 * b1;
      }
      matrix[a * size + b] = s00;
      matrix[a * size + b + 1] = s01;
      matrix[(a + 1) * size + b] = s10;
      matrix[(a + 1) * size + b + 1] = s11;
    }
  }
}
