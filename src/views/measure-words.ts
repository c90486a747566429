import type { Finding, Verdict } from '../checker/finding.ts';
import type { MomentId } from '../phases/moment.ts';
import { sideOf, type Measure, type MeasureId, type MeasureUnit } from '../shapes/measure.ts';

/** Names of the key moments as a coach says them. */
export const MOMENT_NAMES: Readonly<Record<MomentId, string>> = {
  set: 'Set',
  firstMove: 'First move',
  launch: 'Launch',
  passe: 'Passé',
  plant: 'Plant',
  hands: 'Hands',
};

/** What each moment is, in one plain phrase. */
export const MOMENT_PHRASES: Readonly<Record<MomentId, string>> = {
  set: 'the last still frame',
  firstMove: 'the first movement',
  launch: 'the pushing foot leaves the floor',
  passe: 'the driven knee is at its highest',
  plant: 'the lead foot lands in the lunge',
  hands: 'the first hand touches the floor',
};

/** What a measure is called, without the moment it belongs to. */
export const MEASURE_NAMES: Readonly<Record<MeasureId, string>> = {
  'set.backKnee': 'Back knee',
  'set.frontKnee': 'Front knee',
  'set.lungeRatio': 'Length of the stance',
  'set.trunkLean': 'Trunk lean',
  'set.armsBehind': 'Arms behind the trunk',
  'set.passeKnee': 'Passé knee',
  'set.passeThigh': 'Raised thigh against level',
  'passe.knee': 'Passé knee',
  'passe.thigh': 'Raised thigh against level',
  'launch.trunkLean': 'Trunk lean',
  'launch.pushKnee': 'Knee of the pushing leg',
  'launch.hipSpeed': 'Speed of the hips',
  'hurdle.flight': 'Time in the air',
  'plant.lungeRatio': 'Length of the lunge',
  'plant.trunkLean': 'Trunk lean',
  'plant.frontKnee': 'Front knee',
  'kick.split': 'Angle between the thighs',
  'kick.rate': 'Fastest kick of the rear thigh',
  'kick.rearKnee': 'Knee of the kicking leg',
  'steps.count': 'Steps before the hurdle',
  'steps.length[1]': 'Length of step 1',
  'steps.length[2]': 'Length of step 2',
  'steps.time[1]': 'Time of step 1',
  'steps.time[2]': 'Time of step 2',
  'steps.firstLeg': 'First step onto',
  'time.toPlant': 'First move to plant',
  'time.toHands': 'First move to hands',
  'mark.toHands': 'Mark to hands',
};

/** A verdict in words. */
export const VERDICT_WORDS: Readonly<Record<Verdict, string>> = {
  'in-band': 'in band',
  near: 'near',
  'too-close': 'too close to call',
  out: 'out',
  'not-measured': 'not measured',
};

const DIGITS: Readonly<Record<MeasureUnit, number>> = {
  deg: 0, leg: 2, m: 2, s: 2, 'leg/s': 1, 'm/s': 1, 'deg/s': 0, count: 0, side: 0,
};

const SUFFIX: Readonly<Record<MeasureUnit, string>> = {
  deg: '°', leg: ' legs', m: ' m', s: ' s', 'leg/s': ' legs/s', 'm/s': ' m/s', 'deg/s': '°/s', count: '', side: '',
};

/** Rounded to the unit's digits with a true minus sign, without the unit. */
export function numberIn(value: number, unit: MeasureUnit): string {
  const text = value.toFixed(DIGITS[unit]);
  return Number(text) === 0 ? (0).toFixed(DIGITS[unit]) : text.replace('-', '−');
}

/** The unit as it is written after a number. */
export function unitSuffix(unit: MeasureUnit): string {
  return SUFFIX[unit];
}

/** A measure's value with its unit, e.g. "58°" or "1.30 legs"; null when not measured. */
export function valueText(measure: Measure): string | null {
  if (!measure.measured) return null;
  if (measure.unit === 'side') return sideOf(measure.value);
  return numberIn(measure.value, measure.unit) + SUFFIX[measure.unit];
}

/** Half of a measure's 95 % interval with its unit, e.g. "± 4°"; empty where it says nothing. */
export function marginText(measure: Measure): string {
  if (!measure.measured || measure.unit === 'side' || measure.unit === 'count') return '';
  const half = (measure.ci95[1] - measure.ci95[0]) / 2;
  return `± ${numberIn(half, measure.unit)}${SUFFIX[measure.unit]}`;
}

/** A band in the unit of its measure, e.g. "45–65°". */
export function bandText(band: readonly [number, number], unit: MeasureUnit): string {
  const [low, high] = band;
  const from = numberIn(low, unit);
  const to = numberIn(high, unit);
  const suffix = SUFFIX[unit];
  if (!Number.isFinite(low)) return `at most ${to}${suffix}`;
  if (!Number.isFinite(high)) return `at least ${from}${suffix}`;
  return low < 0 ? `${from} to ${to}${suffix}` : `${from}–${to}${suffix}`;
}

/** A verdict in words with the side it lies on, e.g. "out, below". */
export function verdictText(finding: Finding): string {
  const words = VERDICT_WORDS[finding.verdict];
  return finding.side === null || finding.verdict === 'not-measured' ? words : `${words}, ${finding.side}`;
}
