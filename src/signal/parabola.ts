/** value + slope·u + curve·u², u the time in seconds from the middle of the three points it goes through. */
export interface Parabola {
  readonly value: number;
  readonly slope: number;
  readonly curve: number;
}

/** The parabola through the value at `middle` and its two neighbours on their own times; NaN parts when one is a gap. Throws RangeError at an end. */
export function parabolaAt(times: Float64Array, values: Float64Array, middle: number): Parabola {
  if (middle < 1 || middle > times.length - 2) throw new RangeError(`no two neighbours at ${middle}`);
  const before = times[middle]! - times[middle - 1]!;
  const after = times[middle + 1]! - times[middle]!;
  const value = values[middle]!;
  const rise1 = (value - values[middle - 1]!) / before;
  const rise2 = (values[middle + 1]! - value) / after;
  const curve = (rise2 - rise1) / (before + after);
  return { value, slope: rise1 + curve * before, curve };
}
