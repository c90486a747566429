import { fasterWhen, mannKendall, meanOf, minimalDetectableChange95, repValueOf, spreadOverSessions, theilSen } from '../compare/index.ts';
import type { RepValue } from '../compare/index.ts';
import type { MeasureId } from '../shapes/measure.ts';
import type { StartId } from '../starts/start.ts';
import { dayNumber } from './calendar-day.ts';
import { grewPercent } from './growth.ts';
import { bySession, repsOf } from './log.ts';
import type { AthleteLog } from './schema.ts';

/** One session's mean of a measure. */
export interface TrendPoint {
  readonly sessionId: string;
  readonly date: string;
  readonly mean: number;
  readonly reps: number;
}

/** How a measure of one start changes over an athlete's sessions. */
export interface Trend {
  readonly unit: RepValue['unit'];
  /** Oldest first. */
  readonly points: readonly TrendPoint[];
  /** Reps left out because they carry another unit, for example from before a scale was known. */
  readonly leftOut: number;
  /** Theil–Sen slope per 30 days with its interval; null where there is none (fewer than two dates, five sessions for the interval). */
  readonly per30Days: number | null;
  readonly per30DaysCi95: readonly [number, number] | null;
  /** Change from the first to the last session along the slope. */
  readonly change: number | null;
  /** Smallest change of two session means that is more than the athlete's usual scatter, 95 %; null when the scatter is not known. */
  readonly smallestRealChange: number | null;
  /** Two-sided probability of such an order without a trend (Mann–Kendall); null below three sessions. */
  readonly p: number | null;
  /** 'rising' or 'falling' only if the slope's interval leaves out 0 and the change is more than the usual scatter; 'no-trend' otherwise; 'too-few-sessions' below five. */
  readonly verdict: 'rising' | 'falling' | 'no-trend' | 'too-few-sessions';
  /** What the verdict means for speed; null for shapes and without a trend. */
  readonly means: 'faster' | 'slower' | null;
  /** Growth over the time in percent, null when not known: lengths and speeds in metres change with it. */
  readonly grewPercent: number | null;
}

/** The trend of one measure in one start over an athlete's sessions, in the unit of the latest measured rep. Null without a measured rep. */
export function trend(log: AthleteLog, athleteId: string, start: StartId, measure: MeasureId): Trend | null {
  const all = repsOf(log, { athleteId, start }).flatMap((rep) => {
    const value = repValueOf(rep.measures[measure]);
    return value === null ? [] : [{ sessionId: rep.sessionId, value }];
  });
  const unit = all[all.length - 1]?.value.unit;
  if (unit === undefined) return null;
  const kept = all.filter((each) => each.value.unit === unit);
  const dates = new Map(log.sessions.map((session) => [session.id, session.date]));
  const sessions = bySession(kept);
  const points = sessions.map((reps) => ({
    sessionId: reps[0].sessionId, date: dates.get(reps[0].sessionId)!, mean: meanOf(reps.map((rep) => rep.value.value)), reps: reps.length,
  }));
  const [first, last] = [points[0]!, points[points.length - 1]!];
  const days = points.map((point) => dayNumber(point.date));
  const line = theilSen(days, points.map((point) => point.mean));
  const spread = spreadOverSessions(sessions.map((reps) => reps.map((rep) => rep.value)));
  const smallestRealChange = spread === null ? null : minimalDetectableChange95(spread.sd, kept.length / points.length);
  const change = line === null ? null : line.slope * (days[days.length - 1]! - days[0]!);
  const verdict = verdictOf(points.length, line?.ci95 ?? null, change, smallestRealChange);
  const when = fasterWhen(measure);
  const athlete = log.athletes.find((each) => each.id === athleteId);
  return {
    unit,
    points,
    leftOut: all.length - kept.length,
    per30Days: line === null ? null : 30 * line.slope,
    per30DaysCi95: line?.ci95 == null ? null : [30 * line.ci95[0], 30 * line.ci95[1]],
    change,
    smallestRealChange,
    p: mannKendall(points.map((point) => point.mean))?.p ?? null,
    verdict,
    means: when === 'neither' || (verdict !== 'rising' && verdict !== 'falling') ? null : (verdict === 'rising') === (when === 'higher') ? 'faster' : 'slower',
    grewPercent: athlete === undefined ? null : grewPercent(athlete, first.date, last.date),
  };
}

function verdictOf(sessions: number, ci95: readonly [number, number] | null, change: number | null, smallest: number | null): Trend['verdict'] {
  if (sessions < 5) return 'too-few-sessions';
  if (ci95 === null || change === null || (ci95[0] <= 0 && ci95[1] >= 0)) return 'no-trend';
  if (smallest === null || Math.abs(change) <= smallest) return 'no-trend';
  return change > 0 ? 'rising' : 'falling';
}
