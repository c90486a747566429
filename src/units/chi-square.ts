/** Logarithm of the gamma function at half of a whole number of 1 or more: exact steps up from √π or 1. */
function lnGammaOfHalf(twice: number): number {
  let sum = twice % 2 === 0 ? 0 : 0.5 * Math.log(Math.PI);
  for (let a = twice % 2 === 0 ? 1 : 0.5; a < twice / 2; a += 1) sum += Math.log(a);
  return sum;
}

/** Probability that a chi-square variable with a whole number of degrees of freedom lies at or below `x`, 0 to 1. Series of the incomplete gamma function (Abramowitz & Stegun 6.5.29, from memory). */
export function chiSquareProbability(x: number, degreesOfFreedom: number): number {
  if (!(Number.isInteger(degreesOfFreedom) && degreesOfFreedom >= 1)) throw new RangeError(`degrees of freedom must be whole and 1 or more, got ${degreesOfFreedom}`);
  if (x <= 0) return 0;
  const a = degreesOfFreedom / 2;
  const half = x / 2;
  let term = Math.exp(a * Math.log(half) - half - lnGammaOfHalf(degreesOfFreedom + 2));
  let sum = 0;
  for (let n = 1; term > sum * 1e-16; n += 1) {
    sum += term;
    term *= half / (a + n);
  }
  return Math.min(sum, 1);
}

/** The value below which a chi-square variable lies with probability `p`, above 0; found by halving, relative error below 1e-9. Throws RangeError unless 0 < p < 1. */
export function chiSquareQuantile(p: number, degreesOfFreedom: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`probability must lie between 0 and 1, got ${p}`);
  let [low, high] = [0, degreesOfFreedom + 10];
  while (chiSquareProbability(high, degreesOfFreedom) < p) high *= 2;
  while (high - low > 1e-10 * high) {
    const middle = (low + high) / 2;
    if (chiSquareProbability(middle, degreesOfFreedom) < p) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** 95 % interval of a standard deviation that was estimated with so many degrees of freedom, for values that scatter normally. */
export function spreadInterval(sd: number, degreesOfFreedom: number): readonly [number, number] {
  return [sd * Math.sqrt(degreesOfFreedom / chiSquareQuantile(0.975, degreesOfFreedom)), sd * Math.sqrt(degreesOfFreedom / chiSquareQuantile(0.025, degreesOfFreedom))];
}
