/**
 * Solves the square system A·x = b by elimination with row exchange. Null when A is singular to working precision.
 * Neither argument is changed. Throws RangeError when the sizes do not match.
 */
export function solveLinear(a: readonly (readonly number[])[], b: readonly number[]): number[] | null {
  const n = b.length;
  if (a.length !== n || a.some((row) => row.length !== n)) throw new RangeError(`need ${n} rows of ${n}`);
  const rows = a.map((row, i) => [...row, b[i]!]);
  const largest = Math.max(...rows.flatMap((row) => row.slice(0, n).map(Math.abs)));
  for (let column = 0; column < n; column++) {
    let best = column;
    for (let i = column + 1; i < n; i++) if (Math.abs(rows[i]![column]!) > Math.abs(rows[best]![column]!)) best = i;
    [rows[column], rows[best]] = [rows[best]!, rows[column]!];
    const pivot = rows[column]![column]!;
    if (!(Math.abs(pivot) > 1e-12 * largest)) return null;
    for (let i = column + 1; i < n; i++) {
      const factor = rows[i]![column]! / pivot;
      for (let k = column; k <= n; k++) rows[i]![k] = rows[i]![k]! - factor * rows[column]![k]!;
    }
  }
  const x = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i--) {
    let sum = rows[i]![n]!;
    for (let k = i + 1; k < n; k++) sum -= rows[i]![k]! * x[k]!;
    x[i] = sum / rows[i]![i]!;
  }
  return x;
}
