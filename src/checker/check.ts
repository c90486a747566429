import type { Measure, MeasureId, Measures } from '../shapes/measure.ts';
import type { Side, StartId } from '../starts/start.ts';
import { measuresOf, naturalRange } from '../tolerances/applies.ts';
import { toleranceOf } from '../tolerances/edit.ts';
import type { Profile, Tolerance } from '../tolerances/schema.ts';
import type { Finding, Verdict } from './finding.ts';

type Interval = readonly [number, number];

/**
 * Departure, in soft margins, that a wrong count or a wrong first leg stands for.
 * Chosen: such a start is another start, so it leads unless a shape is further out than three soft margins.
 */
const WRONG_ORDER_MARGINS = 3;

/**
 * Holds the measures of one rep against the coach's profile: one finding for every measure of the start that the profile scores,
 * in the order of the measures. A measure that is missing, refused or in another unit than its band gives "not-measured" with its reason and weight 0.
 * `lead` is the leg that the athlete lunges onto; the first step is held against it.
 */
export function check(start: StartId, measures: Measures, profile: Profile, lead: Side): readonly Finding[] {
  return measuresOf(start).flatMap((id) => {
    const tolerance = toleranceOf(profile, start, id);
    if (tolerance === null || tolerance.band === null) return [];
    return [checkOne(id, measures[id] ?? { measured: false, why: 'moment-not-found' }, tolerance, bandFor(tolerance, tolerance.band, lead))];
  });
}

/**
 * The verdict on an exactly known value, for benches: in band, near (outside the band, inside the soft margin, ends included) or out.
 * Throws RangeError when the value is not a number or the band is upside down.
 */
export function truthVerdict(value: number, band: Interval, softMargin: number): 'in-band' | 'near' | 'out' {
  return verdictOf([value, value], band, softMargin) as 'in-band' | 'near' | 'out';
}

/**
 * The verdict on a 95 % interval. Wholly in the band: in band. Across an end of the band: too close to call.
 * Wholly on one side of the band: out if it also clears the soft margin, else near (a fail cannot be told).
 * Throws RangeError for an interval or a band that is upside down or not a number.
 */
export function verdictOf(ci95: Interval, band: Interval, softMargin: number): Exclude<Verdict, 'not-measured'> {
  const [low, high] = ci95;
  if (!(low <= high)) throw new RangeError(`interval must run upward, got ${low} to ${high}`);
  if (!(band[0] <= band[1])) throw new RangeError(`band must run upward, got ${band[0]} to ${band[1]}`);
  if (!(softMargin >= 0)) throw new RangeError(`soft margin must be 0 or more, got ${softMargin}`);
  if (low >= band[0] && high <= band[1]) return 'in-band';
  if (low >= band[1]) return low > band[1] + softMargin ? 'out' : 'near';
  if (high <= band[0]) return high < band[0] - softMargin ? 'out' : 'near';
  return 'too-close';
}

function checkOne(id: MeasureId, measure: Measure, tolerance: Tolerance, band: Interval): Finding {
  if (!measure.measured) return notMeasured(id, band, measure.why);
  if (measure.unit !== tolerance.unit) {
    // A band in metres needs a scale that this clip does not have.
    return notMeasured(id, band, tolerance.unit === 'm' || tolerance.unit === 'm/s' ? 'no-scale' : 'other-unit');
  }
  if (!Number.isFinite(measure.value)) throw new RangeError(`${id}: value must be finite, got ${measure.value}`);
  const ci95 = withinNature(id, measure.ci95);
  const verdict = verdictOf(ci95, band, tolerance.softMargin);
  const side = measure.value < band[0] ? 'below' : measure.value > band[1] ? 'above' : null;
  const weight = verdict === 'near' || verdict === 'out' ? departure(measure.value, band, tolerance) * tolerance.importance * trust(ci95, tolerance) : 0;
  return { measure: id, verdict, side, value: measure.value, ci95: measure.ci95, band, why: null, weight };
}

/** How far beyond the band in soft margins, 0 or more; without a soft margin any departure counts as a wrong order. */
function departure(value: number, band: Interval, tolerance: Tolerance): number {
  const beyond = Math.max(band[0] - value, value - band[1], 0);
  if (tolerance.softMargin > 0) return beyond / tolerance.softMargin;
  return beyond > 0 ? WRONG_ORDER_MARGINS : 0;
}

/** 1 for an exact value, ½ when the half-width of the interval equals the soft margin (or 1 unit without one), toward 0 for a useless one. */
function trust(ci95: Interval, tolerance: Tolerance): number {
  const halfWidth = (ci95[1] - ci95[0]) / 2;
  const scale = tolerance.softMargin > 0 ? tolerance.softMargin : 1;
  return scale / (scale + halfWidth);
}

/** The interval cut to what geometry allows: a knee cannot be straighter than 180°. */
function withinNature(id: MeasureId, ci95: Interval): Interval {
  const range = naturalRange(id);
  if (range === null) return ci95;
  const cut = (x: number): number => Math.min(Math.max(x, range[0]), range[1]);
  return [cut(ci95[0]), cut(ci95[1])];
}

/** The band in the measure's own values: a side is given relative to the lead leg and turned into left (−1) or right (1). */
function bandFor(tolerance: Tolerance, band: Interval, lead: Side): Interval {
  if (tolerance.unit !== 'side') return band;
  const side = band[0] * (lead === 'left' ? -1 : 1);
  return [side, side];
}

function notMeasured(measure: MeasureId, band: Interval, why: NonNullable<Finding['why']>): Finding {
  return { measure, verdict: 'not-measured', side: null, value: null, ci95: null, band, why, weight: 0 };
}
