import { DUAL_PASS_CORRECTION, butterworth } from './butterworth.ts';
import type { FilterCoefficients } from './butterworth.ts';
import { runsOf } from './runs.ts';

/**
 * The evenly sampled values low-passed without lag: a second-order Butterworth forward and backward, corner corrected so that
 * the two passes together lose 3 dB at `cutoffHz`. Each stretch between gaps is filtered on its own, with odd extension at its
 * ends; gaps stay NaN and stretches of one or two values stay as they are. Throws RangeError unless 0 < cutoffHz < sampleHz/2.
 */
export function zeroLag(values: Float64Array, sampleHz: number, cutoffHz: number): Float64Array {
  const coefficients = butterworth(sampleHz, cutoffHz, DUAL_PASS_CORRECTION);
  const result = values.slice();
  // Three periods of the corner: what the start of a pass leaves behind has died out below 1e-6 by then.
  const wanted = Math.ceil((3 * sampleHz) / cutoffHz);
  for (const run of runsOf(values)) {
    const length = run.to - run.from;
    if (length < 3) continue;
    const pad = Math.min(length - 1, wanted);
    // The filter keeps straight lines; taking out the one through both ends keeps them exact in short stretches too.
    const first = values[run.from]!;
    const slope = (values[run.to - 1]! - first) / (length - 1);
    const level = new Float64Array(length);
    for (let i = 0; i < length; i += 1) level[i] = values[run.from + i]! - first - slope * i;
    const extended = oddExtension(level, pad);
    onePass(extended, coefficients, 1);
    onePass(extended, coefficients, -1);
    for (let i = 0; i < length; i += 1) result[run.from + i] = extended[pad + i]! + first + slope * i;
  }
  return result;
}

function oddExtension(values: Float64Array, pad: number): Float64Array {
  const last = values.length - 1;
  const extended = new Float64Array(values.length + 2 * pad);
  extended.set(values, pad);
  for (let away = 1; away <= pad; away += 1) {
    extended[pad - away] = 2 * values[0]! - values[away]!;
    extended[pad + last + away] = 2 * values[last]! - values[last - away]!;
  }
  return extended;
}

/** Filters in place, forward (1) or backward (−1). */
function onePass(values: Float64Array, c: FilterCoefficients, step: 1 | -1): void {
  const first = step === 1 ? 0 : values.length - 1;
  // As if the first value had stood for ever: no start-up step.
  let x1 = values[first]!;
  let x2 = x1;
  let y1 = x1;
  let y2 = x1;
  for (let i = first; i >= 0 && i < values.length; i += step) {
    const x = values[i]!;
    const y = c.a0 * x + c.a1 * x1 + c.a2 * x2 + c.b1 * y1 + c.b2 * y2;
    x2 = x1;
    x1 = x;
    y2 = y1;
    y1 = y;
    values[i] = y;
  }
}
