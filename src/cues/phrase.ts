import type { Finding } from '../checker/finding.ts';
import type { MeasureUnit } from '../shapes/measure.ts';
import { sideOf } from '../shapes/measure.ts';
import { MEASURE_NAMES, UNIT_WORDS } from './measure-words.ts';

const DECIMALS: Readonly<Record<MeasureUnit, number>> = { deg: 0, leg: 2, m: 2, s: 2, 'leg/s': 1, 'm/s': 1, 'deg/s': 0, count: 0, side: 0 };
const MINUS = '−';

/** A number as shown: fixed decimals of the unit, a true minus sign, no unit, never "−0". */
export function numberText(value: number, unit: MeasureUnit): string {
  const text = Math.abs(value).toFixed(DECIMALS[unit]);
  return value < 0 && Number(text) !== 0 ? `${MINUS}${text}` : text;
}

/** A number with its unit, e.g. "92°", "1.14 leg lengths", "left foot". */
export function valueText(value: number, unit: MeasureUnit): string {
  if (unit === 'side') return `${sideOf(value)} ${UNIT_WORDS.side}`;
  return withUnit(numberText(value, unit), unit, value);
}

/** A value with the half-width of its 95 % interval, e.g. "92° ± 4°"; the wider half when it is lopsided. A side or an exact value stands alone. */
export function valueWithErrorText(value: number, ci95: readonly [number, number], unit: MeasureUnit): string {
  const half = Math.max(value - ci95[0], ci95[1] - value);
  if (unit === 'side' || !(half > 0)) return valueText(value, unit);
  if (!Number.isFinite(half)) return `${valueText(value, unit)}, error unknown`;
  if (unit === 'deg') return `${numberText(value, unit)}° ± ${errorText(half, unit)}°`;
  return `${numberText(value, unit)} ± ${withUnit(errorText(half, unit), unit, 2)}`;
}

/** A target band with its unit, e.g. "45–65°", "−10° to 10°", "1.05–1.35 leg lengths", "2 steps", "left foot". */
export function bandText(band: readonly [number, number], unit: MeasureUnit): string {
  const [low, high] = band;
  if (low === high) return valueText(low, unit);
  if (low < 0) return `${valueText(low, unit)} to ${valueText(high, unit)}`;
  return withUnit(`${numberText(low, unit)}–${numberText(high, unit)}`, unit, high);
}

/**
 * The figure behind a cue, after the words: "Passé knee 92° ± 4°, aim 45–65°".
 * Throws RangeError for a finding without a value.
 */
export function figureText(finding: Finding, unit: MeasureUnit): string {
  if (finding.value === null || finding.ci95 === null) throw new RangeError(`${finding.measure} has no value`);
  return `${MEASURE_NAMES[finding.measure]} ${valueWithErrorText(finding.value, finding.ci95, unit)}, aim ${bandText(finding.band, unit)}`;
}

/** Half-widths are rounded up, so that no error looks smaller than it is. */
function errorText(half: number, unit: MeasureUnit): string {
  const scale = 10 ** DECIMALS[unit];
  // 1e-9: a half-width like 0.07 must not be raised to 0.08 by binary rounding.
  return (Math.ceil(half * scale - 1e-9) / scale).toFixed(DECIMALS[unit]);
}

function withUnit(text: string, unit: MeasureUnit, value: number): string {
  if (unit === 'deg' || unit === 'deg/s') return `${text}${UNIT_WORDS[unit]}`;
  if (unit === 'count' && value === 1) return `${text} step`;
  return `${text} ${UNIT_WORDS[unit]}`;
}
