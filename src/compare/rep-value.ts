import type { Measure, MeasureId, MeasureUnit } from '../shapes/measure.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** One rep's value of one measure, as the comparison needs it. */
export interface RepValue {
  readonly value: number;
  readonly unit: MeasureUnit;
  /** One standard deviation of the measurement itself, 0 or more, in the same unit. */
  readonly sd: number;
}

/** The value and measurement error of a measure, its 95 % interval read as ±1.96 standard deviations; null when not measured. */
export function repValueOf(measure: Measure | undefined): RepValue | null {
  if (measure === undefined || !measure.measured) return null;
  return { value: measure.value, unit: measure.unit, sd: Math.abs(measure.ci95[1] - measure.ci95[0]) / (2 * Z95) };
}

/** Whether more of a measure means a faster start, less of it, or neither. */
export type FasterWhen = 'higher' | 'lower' | 'neither';

/** Which way a measure speaks of speed: speeds and kick rate when higher, times to plant and hands when lower, shapes neither. */
export function fasterWhen(id: MeasureId): FasterWhen {
  if (id === 'launch.hipSpeed' || id === 'kick.rate') return 'higher';
  if (id === 'time.toPlant' || id === 'time.toHands') return 'lower';
  return 'neither';
}

/** Throws RangeError unless all values carry one unit. */
export function checkOneUnit(values: readonly RepValue[]): void {
  const other = values.find((v) => v.unit !== values[0]!.unit);
  if (other !== undefined) throw new RangeError(`cannot compare ${values[0]!.unit} with ${other.unit}`);
}
