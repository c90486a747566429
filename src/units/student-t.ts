import { normalQuantile } from './normal-distribution.ts';

/**
 * Value of Student's t with `degreesOfFreedom` (any positive number, Infinity for the normal distribution) below which the
 * share `p` lies. Throws RangeError unless 0 < p < 1 and the degrees of freedom are positive.
 */
export function tQuantile(p: number, degreesOfFreedom: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`share must lie between 0 and 1, got ${p}`);
  if (!(degreesOfFreedom > 0)) throw new RangeError(`degrees of freedom must be positive, got ${degreesOfFreedom}`);
  if (degreesOfFreedom > 1e7) return normalQuantile(p);
  if (p === 0.5) return 0;
  if (p < 0.5) return -tQuantile(1 - p, degreesOfFreedom);
  // Above the median the share is concave and the normal quantile lies to the left: Newton climbs to the answer without overshooting.
  const v = degreesOfFreedom;
  const scale = Math.exp(logGamma((v + 1) / 2) - logGamma(v / 2)) / Math.sqrt(v * Math.PI);
  let t = normalQuantile(p);
  for (let i = 0; i < 100; i += 1) {
    const density = scale * (1 + (t * t) / v) ** (-(v + 1) / 2);
    const step = (p - tShareBelow(t, v)) / density;
    t += step;
    if (!(step > 1e-13 * t)) break;
  }
  return t;
}

/** Share of Student's t with `degreesOfFreedom` that lies below `t`, 0 to 1. */
export function tShareBelow(t: number, degreesOfFreedom: number): number {
  const tail = betaShare(degreesOfFreedom / (degreesOfFreedom + t * t), degreesOfFreedom / 2, 0.5) / 2;
  return t > 0 ? 1 - tail : tail;
}

/** Regularised incomplete beta function by its continued fraction (Abramowitz & Stegun 26.5.8, evaluated after Lentz). */
function betaShare(x: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  if (x > (a + 1) / (a + b + 2)) return 1 - betaShare(1 - x, b, a);
  const front = Math.exp(a * Math.log(x) + b * Math.log1p(-x) + logGamma(a + b) - logGamma(a) - logGamma(b)) / a;
  let [c, d] = [1, 1 / (1 - ((a + b) * x) / (a + 1))];
  let value = d;
  for (let m = 1; m < 10000; m += 1) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / (1 + even * d);
    c = 1 + even / c;
    value *= c * d;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / (1 + odd * d);
    c = 1 + odd / c;
    value *= c * d;
    if (Math.abs(c * d - 1) < 1e-15) break;
  }
  return front * value;
}

/** Natural logarithm of the gamma function of a positive number: Stirling's series after raising the argument above 12. */
function logGamma(x: number): number {
  let shift = 0;
  let y = x;
  while (y < 12) {
    shift += Math.log(y);
    y += 1;
  }
  const z = 1 / (y * y);
  const series = (1 / 12 - z * (1 / 360 - z * (1 / 1260 - z * (1 / 1680 - z / 1188)))) / y;
  return (y - 0.5) * Math.log(y) - y + Math.log(2 * Math.PI) / 2 + series - shift;
}
