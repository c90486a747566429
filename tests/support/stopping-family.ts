import type { FamilyChannel } from '../../src/signal/family-samples.ts';
import type { ShapeFamily } from '../../src/signal/shape-family.ts';

const STEP = 0.01;
/** Seconds from the instant of the family's knots. */
export const KNOTS = Array.from({ length: 31 }, (_, i) => -0.15 + i * STEP);
const ramp = KNOTS.map((t) => Math.min(0, t));

/** A family in closed form: a point comes in and stops at once. x on average at 2 a second, give or take 0.5; y at 3. */
export const FAMILY: ShapeFamily = {
  fromS: -0.15, stepS: STEP, channels: 2, unit: 1,
  mean: [...ramp.map((r) => 2 * r), ...ramp.map((r) => 3 * r)],
  modes: [[...ramp.map((r) => 0.5 * r), ...ramp.map(() => 0)]],
  leftSd: KNOTS.flatMap(() => [0, 0]),
};

/** When the points below stop, clip seconds. */
export const STOP = 0.4137;
/** Sixty unevenly spaced frames. */
export const uneven = Float64Array.from({ length: 60 }, (_, i) => i / 60 + (i % 3) * 0.002);

/** One coordinate of a point that comes in at a speed and stops at a place. */
export function stopping(speed: number, place: number, times = uneven): Float64Array {
  return times.map((t) => place + speed * Math.min(0, t - STOP));
}

/** Both coordinates with one stated deviation. */
export function channels(x: Float64Array, y: Float64Array, sd: number): FamilyChannel[] {
  return [x, y].map((values) => ({ values, sd: values.map(() => sd) }));
}
