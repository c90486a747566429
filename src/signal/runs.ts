/** A stretch of values without a gap: indices `from` up to but not including `to`. */
export interface Run {
  readonly from: number;
  readonly to: number;
}

/** The stretches of finite values between gaps (NaN), in order; empty when there is none. */
export function runsOf(values: Float64Array): readonly Run[] {
  const runs: Run[] = [];
  let from = -1;
  for (let i = 0; i <= values.length; i += 1) {
    const isValue = i < values.length && Number.isFinite(values[i]);
    if (isValue && from < 0) from = i;
    if (!isValue && from >= 0) {
      runs.push({ from, to: i });
      from = -1;
    }
  }
  return runs;
}

/** Throws RangeError unless both arrays have one length and the times strictly increase. */
export function checkTimes(times: Float64Array, values: Float64Array): void {
  if (times.length !== values.length) throw new RangeError(`${times.length} times for ${values.length} values`);
  for (let i = 1; i < times.length; i += 1) {
    if (!(times[i]! > times[i - 1]!)) throw new RangeError(`times must increase, got ${times[i - 1]} then ${times[i]}`);
  }
}
