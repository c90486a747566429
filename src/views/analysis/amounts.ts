import { UNIT_WORDS } from '../../cues/index.ts';
import type { MeasureUnit } from '../../shapes/measure.ts';

/** Decimals of a difference: as fine as the measures can tell. */
const DECIMALS: Readonly<Record<MeasureUnit, number>> = { deg: 0, leg: 2, m: 2, s: 2, 'leg/s': 2, 'm/s': 2, 'deg/s': 0, count: 0, side: 0 };

/** The size of a number without unit or sign, with the decimals of a difference: "0.06". */
export function bareAmount(value: number, unit: MeasureUnit): string {
  return Math.abs(value).toFixed(DECIMALS[unit]);
}

/** The size of a number with its unit, without its sign: "0.06 s", "4°". */
export function amount(value: number, unit: MeasureUnit): string {
  const text = bareAmount(value, unit);
  if (unit === 'deg' || unit === 'deg/s') return `${text}${UNIT_WORDS[unit]}`;
  return `${text} ${Number(text) === 1 ? UNIT_WORDS[unit].replace('lengths', 'length') : UNIT_WORDS[unit]}`;
}

/** A signed number with its unit and a true minus sign: "−0.06 s", "+4°"; "0.00 s" without a sign. */
export function signed(value: number, unit: MeasureUnit): string {
  const text = amount(value, unit);
  if (Number(bareAmount(value, unit)) === 0) return text;
  return `${value < 0 ? '−' : '+'}${text}`;
}

/** Words for more and less of a unit. */
export function moreLess(unit: MeasureUnit): readonly [string, string] {
  return unit === 'leg' || unit === 'm' ? ['longer', 'shorter'] : ['more', 'less'];
}

/** A change in words: "0.06 s less", "0.05 leg lengths longer", "no change". */
export function changeText(value: number, unit: MeasureUnit): string {
  if (Number(bareAmount(value, unit)) === 0) return 'no change';
  const [more, less] = moreLess(unit);
  return `${amount(value, unit)} ${value > 0 ? more : less}`;
}

/** An interval of a change in words, smaller first: "0.02 to 0.10 s less", "0.03 s less to 0.05 s more". */
export function rangeText(ci95: readonly [number, number], unit: MeasureUnit): string {
  const [low, high] = ci95;
  const [more, less] = moreLess(unit);
  if (low === high) return changeText(low, unit);
  if (low >= 0) return `${bareAmount(low, unit)} to ${amount(high, unit)} ${more}`;
  if (high <= 0) return `${bareAmount(high, unit)} to ${amount(low, unit)} ${less}`;
  const start = unit === 'deg' || unit === 'deg/s' ? amount(low, unit) : bareAmount(low, unit);
  return `${start} ${less} to ${amount(high, unit)} ${more}`;
}

/** A date as the page shows it: "7 Sep 2026". */
export function dayText(date: string): string {
  const [year, month, day] = date.split('-').map(Number);
  const name = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'][(month ?? 1) - 1] ?? '';
  return `${day} ${name} ${year}`;
}
