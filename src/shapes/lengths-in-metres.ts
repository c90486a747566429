import type { MeasureContext } from './measure-rep.ts';
import type { Measure, MeasureId, Measures } from './measure.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** A length in metres with its 95 % interval. */
export interface LengthM {
  readonly valueM: number;
  readonly ci95: readonly [number, number];
}

/** Lengths in metres by measure. */
export type LengthsM = Readonly<Partial<Record<MeasureId, LengthM>>>;

/** Every measured length given in leg lengths, in metres along the line of travel; empty without a scale. `legPx` is the leg in the pixels of the scale. */
export function lengthsInMetres(measures: Measures, legPx: number, scale: MeasureContext['scale']): LengthsM {
  if (scale === null) return {};
  const legM = legPx * scale.metresPerPixel;
  const byScale = Z95 * scale.relativeSd;
  return Object.fromEntries((Object.entries(measures) as [MeasureId, Measure][]).flatMap(([id, measure]) => {
    if (!measure.measured || measure.unit !== 'leg') return [];
    const valueM = measure.value * legM;
    const half = (side: 0 | 1): number => Math.hypot((measure.ci95[side] - measure.value) * legM, valueM * byScale);
    return [[id, { valueM, ci95: [valueM - half(0), valueM + half(1)] }]];
  }));
}
