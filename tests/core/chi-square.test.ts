import { describe, expect, test } from 'vitest';
import { chiSquareProbability, chiSquareQuantile, spreadInterval } from '../../src/units/chi-square.ts';

describe('chi-square', () => {
  // Critical values of the usual printed tables, as in the NIST/SEMATECH e-Handbook 1.3.6.7.4 (from memory); printed to 3 decimals.
  test.each([
    [0.95, 1, 3.841], [0.975, 1, 5.024], [0.975, 5, 12.833], [0.975, 10, 20.483], [0.95, 30, 43.773],
    [0.025, 5, 0.831], [0.025, 10, 3.247], [0.025, 30, 16.791],
  ])('the %d quantile with %d degrees of freedom is %d', (p, freedom, printed) => {
    expect(chiSquareQuantile(p, freedom)).toBeCloseTo(printed, 3);
  });

  test('with 2 degrees of freedom it is exponential: P(x) = 1 − e^(−x/2)', () => {
    for (const x of [0.1, 1, 2.5, 8, 20]) expect(chiSquareProbability(x, 2)).toBeCloseTo(1 - Math.exp(-x / 2), 12);
    expect(chiSquareQuantile(0.025, 2)).toBeCloseTo(-2 * Math.log(0.975), 9);
  });

  test('the quantile undoes the probability from 1 to 200 degrees of freedom', () => {
    for (const freedom of [1, 2, 3, 7, 48, 200]) for (const p of [0.01, 0.5, 0.99]) expect(chiSquareProbability(chiSquareQuantile(p, freedom), freedom)).toBeCloseTo(p, 8);
  });

  test('a spread of 1 out of 11 values lies between 0.699 and 1.755, 19 times in 20', () => {
    // √(10/20.483) and √(10/3.247) with the printed values above.
    const [low, high] = spreadInterval(1, 10);
    expect(low).toBeCloseTo(Math.sqrt(10 / 20.483), 4);
    expect(high).toBeCloseTo(Math.sqrt(10 / 3.247), 3);
  });

  test('half degrees of freedom and probabilities outside 0 to 1 are refused', () => {
    expect(() => chiSquareProbability(1, 1.5)).toThrow(RangeError);
    expect(() => chiSquareQuantile(1, 3)).toThrow(RangeError);
  });
});
