import type { Finding } from '../checker/finding.ts';
import { bandText, numberText, UNIT_WORDS, valueText, valueWithErrorText, VERDICT_WORDS } from '../cues/index.ts';
import type { MeasureUnit, Measure } from '../shapes/measure.ts';

/** A measure's figure in two parts, so that the number can stand large before its error and unit: "92°" and "± 4°", "1.14" and "± 0.03 leg lengths". */
export function figureParts(measure: Measure): { readonly number: string; readonly rest: string } {
  if (!measure.measured) return { number: '', rest: '' };
  const { value, unit, ci95 } = measure;
  if (unit === 'side') return { number: valueText(value, unit), rest: '' };
  const isSigned = unit === 'deg' || unit === 'deg/s';
  const number = numberText(value, unit) + (isSigned ? UNIT_WORDS[unit] : '');
  const whole = valueWithErrorText(value, ci95, unit);
  const rest = whole.startsWith(number) ? whole.slice(number.length).trim() : whole.slice(numberText(value, unit).length).trim();
  return { number, rest };
}

/** A verdict in words with the side it lies on, e.g. "Off target, below". */
export function verdictText(finding: Finding): string {
  const words = VERDICT_WORDS[finding.verdict];
  const hasSide = finding.side !== null && (finding.verdict === 'near' || finding.verdict === 'out');
  return hasSide ? `${words}, ${finding.side}` : words;
}

/** The band behind "aim", short: degrees keep their sign, lengths in leg lengths stand without the unit that the value carries. */
export function aimText(band: readonly [number, number], unit: MeasureUnit): string {
  return bandText(band, unit).replace(` ${UNIT_WORDS.leg}`, '');
}
