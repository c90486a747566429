import type { Athlete, Rep } from '../athletelog/index.ts';
import type { Analysis, Overrides, Reading } from '../reading/reading.ts';
import type { Measure, Measures } from '../shapes/measure.ts';
import type { Side, StartId } from '../starts/start.ts';
import type { Profile } from '../tolerances/schema.ts';

/** The part of a rep that comes from measuring it. */
export type MeasuredPart = Pick<Rep, 'start' | 'lead' | 'clip' | 'moments' | 'measures' | 'stated' | 'judgedBy' | 'isInvented'>;

/** The part of a rep that the coach says. */
export type SaidPart = Pick<Rep, 'surfaces' | 'legs' | 'hasPain' | 'pass' | 'fitted' | 'markAtM' | 'isStarred' | 'note'>;

/** Nothing said yet. */
export const NOTHING_SAID: SaidPart = { surfaces: [], legs: null, hasPain: false, pass: '', fitted: null, markAtM: null, isStarred: false, note: '' };

/** A rep out of a measured clip: what was read, what was stated, which profile judged it, and whether the clip is the invented example. */
export function measuredPart(analysis: Analysis, reading: Reading, stated: Overrides, profile: Profile, isInvented: boolean): MeasuredPart {
  return {
    start: reading.start.value,
    lead: reading.lead.value,
    clip: {
      fileName: analysis.clip.fileName.slice(0, 300),
      timeBase: reading.timeBase,
      fps: analysis.clip.fps.median,
      model: analysis.track.model,
      engineVersion: analysis.engineVersion,
    },
    moments: reading.moments,
    measures: reading.measures,
    stated,
    judgedBy: { id: profile.id, revision: profile.revision },
    ...(isInvented ? { isInvented } : {}),
  };
}

/** Half of the 95 % interval of a time by stopwatch, seconds: two presses, each about 0.1 s off. Common practice, no source. */
const STOPWATCH_HALF_S = 0.3;

/** Half of the 95 % interval of a mark read off the floor, metres. Common practice, no source. */
const TAPE_HALF_M = 0.1;

/** A rep that the coach timed and measured by hand; what was not taken is left out. Throws RangeError unless both are above 0. */
export function handMeasuredPart(start: StartId, lead: Side, taken: { readonly toHandsS: number | null; readonly markM: number | null }): MeasuredPart {
  const measures: Measures = {
    ...(taken.toHandsS === null ? {} : { 'time.toHands': byHand(taken.toHandsS, 's', STOPWATCH_HALF_S) }),
    ...(taken.markM === null ? {} : { 'mark.toHands': byHand(taken.markM, 'm', TAPE_HALF_M) }),
  };
  return { start, lead, clip: null, moments: null, measures, stated: {}, judgedBy: null };
}

function byHand(value: number, unit: 's' | 'm', half: number): Measure {
  if (!(value > 0)) throw new RangeError(`a time or length is above 0, got ${value}`);
  return { measured: true, value, unit, ci95: [Math.max(0, value - half), value + half], t: null, frame: null, source: 'user' };
}

/** A new athlete of whom only the name is known. */
export function newAthlete(id: string, name: string): Athlete {
  return { id, name: name.trim(), birthYear: null, lead: null, usualStart: 'two-step-run', growth: [], groups: [], ticks: [], note: '', isInvented: false };
}
