/**
 * Triangular systems (Golub and Van Loan, "Matrix Computations", 4th edition, sections 3.1 and 4.2). A lower triangle L of
 * `size` rows lies row after row in a square of numbers; what stands above its diagonal is not read.
 */

/** The Cholesky factor L of a symmetric positive matrix L Lᵀ, in place of its lower triangle; answers the log of the product of L's diagonal. */
export function factorise(matrix: Float64Array, size: number): number {
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
