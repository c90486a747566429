/**
 * Triangular systems (Golub and Van Loan, "Matrix Computations", 4th edition, sections 3.1 and 4.2). A lower triangle L of
 * `size` rows lies row after row in a square of numbers; what stands above its diagonal is not read.
 */

/** The Cholesky factor L of a symmetric positive matrix L Lᵀ, in place of its lower triangle; answers the log of the product of L's diagonal. */
export function factorise(matrix: Float64Array, size: number): number {
  let log = 0;
  for (let b = 0; b < size; b++) {
    const own = b * size;
    let square = matrix[own + b]!;
    for (let c = 0; c < b; c++) square -= matrix[own + c]! * matrix[own + c]!;
    const root = Math.sqrt(square);
    matrix[own + b] = root;
    log += Math.log(root);
    // Four rows of the column at a time: their sums do not wait for one another.
    let a = b + 1;
    for (; a + 3 < size; a += 4) {
      const row0 = a * size;
      const row1 = row0 + size;
      const row2 = row1 + size;
      const row3 = row2 + size;
      let s0 = matrix[row0 + b]!, s1 = matrix[row1 + b]!, s2 = matrix[row2 + b]!, s3 = matrix[row3 + b]!;
      for (let c = 0; c < b; c++) {
        const value = matrix[own + c]!;
        s0 -= matrix[row0 + c]! * value;
        s1 -= matrix[row1 + c]! * value;
        s2 -= matrix[row2 + c]! * value;
        s3 -= matrix[row3 + c]! * value;
      }
      matrix[row0 + b] = s0 / root;
      matrix[row1 + b] = s1 / root;
      matrix[row2 + b] = s2 / root;
      matrix[row3 + b] = s3 / root;
    }
    for (; a < size; a++) {
      let sum = matrix[a * size + b]!;
      for (let c = 0; c < b; c++) sum -= matrix[a * size + c]! * matrix[own + c]!;
      matrix[a * size + b] = sum / root;
    }
  }
  return log;
}

/** Solves L z = right in place. */
export function solveLower(lower: Float64Array, right: Float64Array): void {
  const size = right.length;
  for (let a = 0; a < size; a++) {
    let sum = right[a]!;
    for (let b = 0; b < a; b++) sum -= lower[a * size + b]! * right[b]!;
    right[a] = sum / lower[a * size + a]!;
  }
}

/** Solves Lᵀ c = right in place. */
export function solveTransposed(lower: Float64Array, right: Float64Array): void {
  const size = right.length;
  for (let a = size - 1; a >= 0; a--) {
    let sum = right[a]!;
    for (let b = a + 1; b < size; b++) sum -= lower[b * size + a]! * right[b]!;
    right[a] = sum / lower[a * size + a]!;
  }
}
