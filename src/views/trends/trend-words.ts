import type { Trend } from '../../athletelog/index.ts';
import { MEASURE_NAMES } from '../../cues/index.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { amount, changeText, rangeText } from '../analysis/amounts.ts';

/** The sentence of a trend. */
export function trendSentence(measure: MeasureId, found: Trend): string {
  const name = MEASURE_NAMES[measure];
  switch (found.verdict) {
    case 'too-few-sessions':
      return `${name}: ${found.points.length} of the 5 sessions that a trend needs.`;
    case 'no-trend':
      return `${name}: no trend that these sessions can show.`;
    default:
      return found.means === null ? `${name} is ${found.verdict}.` : `${name} is ${found.verdict}: the start gets ${found.means}.`;
  }
}

/** The figures behind a trend; null below two sessions. */
export function trendFigure(found: Trend): string | null {
  if (found.per30Days === null || found.change === null) return null;
  const slope = found.per30DaysCi95 === null ? '' : `, 95 % interval ${rangeText(found.per30DaysCi95, found.unit)}`;
  const smallest = found.smallestRealChange === null ? '' : ` Over all sessions ${changeText(found.change, found.unit)}; changes up to ${amount(found.smallestRealChange, found.unit)} are usual scatter.`;
  return `In 30 days ${changeText(found.per30Days, found.unit)}${slope}.${smallest}`;
}

/** What growth does to the figures of this unit; null when growth is not known or no matter. */
export function growthWords(found: Trend): string | null {
  const grew = found.grewPercent;
  if (grew === null) return 'Growth is not known: measure height or leg length now and then, and it is drawn here.';
  const text = `${Math.abs(grew).toFixed(1)} %`;
  if (Math.abs(grew) < 0.05) return 'No growth between the measurements.';
  switch (found.unit) {
    case 'm':
    case 'm/s':
      return `The athlete grew ${text} in this time: about as much of a rise in metres is growth alone.`;
    case 'leg':
    case 'leg/s':
      return `The athlete grew ${text} in this time. In leg lengths that is taken out; the same step in metres counts as ${text} less.`;
    default:
      return `The athlete grew ${text} in this time. Longer limbs need time to get used to.`;
  }
}

/** A trend in one or two words, for the list. */
export function trendWord(found: Trend): string {
  switch (found.verdict) {
    case 'too-few-sessions':
      return 'too few sessions';
    case 'no-trend':
      return 'no trend shown';
    default:
      return found.means ?? found.verdict;
  }
}
