import fc from 'fast-check';
import { expect, test } from 'vitest';
import { factorise, solveLower, solveTransposed } from '../../src/signal/cholesky.ts';

// The worked example of the matrix [[25, 15, −5], [15, 18, 0], [−5, 0, 11]] (Rosetta Code, "Cholesky decomposition"; from memory).
test('a worked example: L is [[5], [3, 3], [−1, 1, 3]], and the log of its diagonal’s product ln 45', () => {
  const matrix = Float64Array.of(25, 15, -5, 15, 18, 0, -5, 0, 11);
  expect(factorise(matrix, 3)).toBeCloseTo(Math.log(45), 12);
  expect([0, 3, 4, 6, 7, 8].map((at) => matrix[at])).toEqual([5, 3, 3, -1, 1, 3]);
});

test('both triangles solved one after the other solve the whole system, up to 12 unknowns', () => {
  const entry = fc.double({ min: -1, max: 1, noNaN: true });
  fc.assert(fc.property(fc.integer({ min: 1, max: 12 }), fc.array(entry, { minLength: 144, maxLength: 144 }), fc.array(entry, { minLength: 12, maxLength: 12 }), (size, entries, wanted) => {
    // 1 + A Aᵀ is positive whatever A is.
    const matrix = Float64Array.from({ length: size * size }, (_, at) => {
      const [row, column] = [Math.floor(at / size), at % size];
      return entries.slice(0, size).reduce((sum, _, k) => sum + (entries[row * 12 + k] ?? 0) * (entries[column * 12 + k] ?? 0), row === column ? 1 : 0);
    });
    const right = Float64Array.from({ length: size }, (_, row) => wanted.slice(0, size).reduce((sum, value, column) => sum + (matrix[row * size + column] ?? 0) * value, 0));
    factorise(matrix, size);
    solveLower(matrix, right);
    solveTransposed(matrix, right);
    right.forEach((value, row) => { expect(value).toBeCloseTo(wanted[row] ?? Number.NaN, 9); });
  }));
});
