import type { Athlete, AthleteLog, Rep, Session } from '../../src/athletelog/index.ts';
import type { Measure, MeasureId, MeasureUnit, Measures } from '../../src/shapes/measure.ts';
import type { StartId } from '../../src/starts/start.ts';
import { BAND_UNITS, defaultTolerance, measuresOf } from '../../src/tolerances/index.ts';

/** Numbers between 0 and 1 that are the same in every run (linear congruence of Numerical Recipes, from memory). */
function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

const USUAL: Readonly<Partial<Record<MeasureId, readonly [number, number, number]>>> = {
  // value, rep-to-rep spread, half-width of the stated interval
  'launch.hipSpeed': [4.2, 0.08, 0.1],
  'hurdle.flight': [0.24, 0.012, 0.016],
  'time.toPlant': [1.62, 0.02, 0.03],
  'time.toHands': [1.84, 0.02, 0.03],
  'steps.time[1]': [0.36, 0.012, 0.02],
  'steps.time[2]': [0.31, 0.012, 0.02],
  'kick.rate': [520, 20, 25],
  'mark.toHands': [3.1, 0.06, 0.04],
  'steps.count': [2, 0, 0],
  'steps.firstLeg': [-1, 0, 0],
};

const DAYS = ['2026-09-07', '2026-09-14', '2026-09-21', '2026-09-28', '2026-10-05', '2026-10-12', '2026-10-19', '2026-10-26'] as const;

/** How a season of the test athletes is bent; all of it zero leaves pure scatter. */
export interface SeasonOptions {
  /** Hip speed gained from session to session, leg lengths per second. */
  readonly speedPerSession?: number;
  /** Change of hip speed from before to after the drill in the last session. */
  readonly speedAfterDrill?: number;
  /** Metres by which the hands land further from the mark with every rep of the last session. */
  readonly creepPerRepM?: number;
}

/** An invented athlete's season: eight weekly sessions, in each three reps of the two-step run, three drill hops, three of the two-step run again; a second athlete with two sessions. */
export function seasonLog(options: SeasonOptions = {}): AthleteLog {
  const random = seeded(20260907);
  const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const athletes: readonly Athlete[] = [
    {
      id: 'mika', name: 'Mika (invented)', birthYear: null, lead: 'left', usualStart: 'two-step-run', note: '', groups: ['Juniors'], ticks: [{ start: 'power-hurdle', date: '2026-09-21' }], isInvented: true,
      growth: [{ date: '2026-09-01', heightM: 1.42, legLengthM: 0.7 }, { date: '2026-10-20', heightM: 1.44, legLengthM: 0.712 }],
    },
    { id: 'runa', name: 'Runa (invented)', birthYear: null, lead: 'right', usualStart: 'power-hurdle', note: '', groups: [], ticks: [], isInvented: true, growth: [] },
  ];
  const sessions: readonly Session[] = DAYS.map((date, i) => ({ id: `s${i + 1}`, date, place: 'Invented hall', note: '', surfaces: ['sprung-floor'], present: [], isInvented: true }));
  const reps: Rep[] = [];
  const measuresFor = (start: StartId, week: number, number: number): Measures => Object.fromEntries(measuresOf(start).map((id): [MeasureId, Measure] => {
    const usual = USUAL[id];
    const tolerance = defaultTolerance(start, id);
    const band = tolerance.band ?? [0, 1];
    const [value, spread, half] = usual ?? [(band[0] + band[1]) / 2, tolerance.softMargin * 0.35, tolerance.softMargin * 0.45];
    const unit: MeasureUnit = BAND_UNITS[id][0];
    let shown = value + spread * normal();
    const isLast = week === DAYS.length - 1;
    if (id === 'launch.hipSpeed') shown += week * (options.speedPerSession ?? 0) + (isLast && number > 6 ? (options.speedAfterDrill ?? 0) : 0);
    if (id === 'mark.toHands') shown += (start === 'hop-from-passe' ? -1.2 : 0) + (isLast ? (number - 1) * (options.creepPerRepM ?? 0) : 0);
    return [id, { measured: true, value: shown, unit, ci95: [shown - half, shown + half], t: null, frame: null, source: 'detected' }];
  }));
  const add = (athleteId: string, week: number, number: number, start: StartId, lead: 'left' | 'right') => {
    reps.push({
      id: `${athleteId}-${week + 1}-${number}`, athleteId, sessionId: `s${week + 1}`, number, start, surfaces: ['sprung-floor'], lead, hasPain: false, note: '', clip: null,
      moments: null, measures: measuresFor(start, week, number), stated: {}, judgedBy: { id: 'default', revision: 1 }, legs: 'rested', isStarred: false, pass: '', fitted: null, markAtM: null,
    });
  };
  DAYS.forEach((_day, week) => {
    for (let number = 1; number <= 9; number += 1) add('mika', week, number, number >= 4 && number <= 6 ? 'hop-from-passe' : 'two-step-run', 'left');
    if (week > 5) for (let number = 1; number <= 4; number += 1) add('runa', week, number, 'power-hurdle', 'right');
  });
  return { athletes, sessions, reps };
}
