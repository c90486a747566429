import { meanOf } from './mean-and-spread.ts';

/** Reliability of a table of targets × judges, with the mean squares behind it. */
export interface Intraclass {
  readonly betweenTargets: number;
  readonly betweenJudges: number;
  readonly withinTargets: number;
  readonly residual: number;
  /** One judge, drawn anew for each target. */
  readonly icc11: number;
  /** One judge out of many, agreement. */
  readonly icc21: number;
  /** One of these judges, consistency. */
  readonly icc31: number;
  /** The same three for the mean of all judges. */
  readonly icc1k: number;
  readonly icc2k: number;
  readonly icc3k: number;
}

/** Intraclass correlations of Shrout & Fleiss (1979, Psychol Bull 86:420–428) of rows (targets) × columns (judges); each at most 1. Null below two rows or columns. Throws RangeError when the rows differ in length. */
export function intraclass(rows: readonly (readonly number[])[]): Intraclass | null {
  const n = rows.length;
  const k = rows[0]?.length ?? 0;
  if (rows.some((row) => row.length !== k)) throw new RangeError('rows differ in length');
  if (n < 2 || k < 2) return null;
  const grand = meanOf(rows.flat());
  const rowSquares = k * rows.reduce((sum, row) => sum + (meanOf(row) - grand) ** 2, 0);
  const columnSquares = n * rows[0]!.reduce((sum, _, j) => sum + (meanOf(rows.map((row) => row[j]!)) - grand) ** 2, 0);
  const allSquares = rows.flat().reduce((sum, v) => sum + (v - grand) ** 2, 0);
  const b = rowSquares / (n - 1);
  const j = columnSquares / (k - 1);
  const w = (allSquares - rowSquares) / (n * (k - 1));
  const e = (allSquares - rowSquares - columnSquares) / ((n - 1) * (k - 1));
  return {
    betweenTargets: b, betweenJudges: j, withinTargets: w, residual: e,
    icc11: (b - w) / (b + (k - 1) * w),
    icc21: (b - e) / (b + (k - 1) * e + (k * (j - e)) / n),
    icc31: (b - e) / (b + (k - 1) * e),
    icc1k: (b - w) / b,
    icc2k: (b - e) / (b + (j - e) / n),
    icc3k: (b - e) / b,
  };
}
