import type { MeasureId, MeasureUnit } from '../shapes/measure.ts';
import { MEASURE_IDS } from '../shapes/measure.ts';
import type { StartId } from '../starts/start.ts';
import { START_IDS } from '../starts/start.ts';

/** The starts in which each measure exists (an athlete's other starts have no such moment or leg). */
export const MEASURE_STARTS: Readonly<Record<MeasureId, readonly StartId[]>> = {
  'set.backKnee': ['sprint-lunge'],
  'set.frontKnee': ['sprint-lunge', 'half-kneeling'],
  'set.lungeRatio': ['sprint-lunge'],
  'set.trunkLean': ['sprint-lunge'],
  'set.armsBehind': ['sprint-lunge'],
  'set.passeKnee': ['hop-from-passe', 'tip-from-passe'],
  'set.passeThigh': ['hop-from-passe', 'tip-from-passe'],
  'passe.knee': START_IDS,
  'passe.thigh': START_IDS,
  'launch.trunkLean': START_IDS,
  'launch.pushKnee': ['two-step-run', 'power-hurdle', 'sprint-lunge', 'hop-from-passe', 'half-kneeling'],
  'launch.hipSpeed': START_IDS,
  'hurdle.flight': ['two-step-run', 'power-hurdle', 'hop-from-passe'],
  'plant.lungeRatio': START_IDS,
  'plant.trunkLean': START_IDS,
  'plant.frontKnee': START_IDS,
  'kick.split': START_IDS,
  'kick.rate': START_IDS,
  'kick.rearKnee': START_IDS,
  'steps.count': ['two-step-run'],
  'steps.length[1]': ['two-step-run'],
  'steps.length[2]': ['two-step-run'],
  'steps.time[1]': ['two-step-run'],
  'steps.time[2]': ['two-step-run'],
  'steps.firstLeg': ['two-step-run'],
  'time.toPlant': START_IDS,
  'time.toHands': START_IDS,
  'mark.toHands': START_IDS,
};

/** The units in which a band of each measure may be set, the usual one first. */
export const BAND_UNITS: Readonly<Record<MeasureId, readonly [MeasureUnit, ...MeasureUnit[]]>> = {
  'set.backKnee': ['deg'],
  'set.frontKnee': ['deg'],
  'set.lungeRatio': ['leg'],
  'set.trunkLean': ['deg'],
  'set.armsBehind': ['deg'],
  'set.passeKnee': ['deg'],
  'set.passeThigh': ['deg'],
  'passe.knee': ['deg'],
  'passe.thigh': ['deg'],
  'launch.trunkLean': ['deg'],
  'launch.pushKnee': ['deg'],
  'launch.hipSpeed': ['leg/s', 'm/s'],
  'hurdle.flight': ['s'],
  'plant.lungeRatio': ['leg'],
  'plant.trunkLean': ['deg'],
  'plant.frontKnee': ['deg'],
  'kick.split': ['deg'],
  'kick.rate': ['deg/s'],
  'kick.rearKnee': ['deg'],
  'steps.count': ['count'],
  'steps.length[1]': ['leg'],
  'steps.length[2]': ['leg'],
  'steps.time[1]': ['s'],
  'steps.time[2]': ['s'],
  'steps.firstLeg': ['side'],
  'time.toPlant': ['s'],
  'time.toHands': ['s'],
  'mark.toHands': ['m'],
};

/** Whether a measure exists in a start. */
export function applies(start: StartId, measure: MeasureId): boolean {
  return MEASURE_STARTS[measure].includes(start);
}

/** The measures of one start in the order in which they are shown. */
export function measuresOf(start: StartId): readonly MeasureId[] {
  return MEASURE_IDS.filter((measure) => applies(start, measure));
}

/**
 * The range that a measure's geometry allows, in its unit: an interior knee angle or a split lies between 0° and 180°.
 * Null where geometry sets no end.
 */
export function naturalRange(measure: MeasureId): readonly [number, number] | null {
  switch (measure) {
    case 'set.backKnee':
    case 'set.frontKnee':
    case 'set.passeKnee':
    case 'passe.knee':
    case 'launch.pushKnee':
    case 'plant.frontKnee':
    case 'kick.split':
    case 'kick.rearKnee':
      return [0, 180];
    default:
      return null;
  }
}
