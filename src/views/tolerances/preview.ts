import type { AthleteLog, Rep } from '../../athletelog/index.ts';
import { check } from '../../checker/check.ts';
import type { Finding } from '../../checker/finding.ts';
import type { MeasureId, Measures } from '../../shapes/measure.ts';
import type { StartId } from '../../starts/start.ts';
import { layerProfiles, isComplete, toleranceOf, type Profile } from '../../tolerances/index.ts';

/** One verdict that an edit would change. */
export interface ChangedVerdict {
  readonly rep: Rep;
  readonly measure: MeasureId;
  /** Null where one of the two profiles does not judge the measure. */
  readonly before: Finding | null;
  readonly after: Finding | null;
}

/** What an edit would do to stored reps. */
export interface Preview {
  readonly reps: number;
  readonly verdicts: number;
  readonly changed: readonly ChangedVerdict[];
}

/** The profile that would judge: an override lies on its base. */
export function judging(base: Profile, profile: Profile): Profile {
  return isComplete(profile) ? profile : layerProfiles(base, profile);
}

/** Findings of a stored rep; a measure in another unit than its band is left out, since it cannot be held against it. */
export function findingsOf(rep: Rep, profile: Profile): readonly Finding[] {
  const measures = Object.fromEntries(Object.entries(rep.measures).filter(([id, measure]) => {
    const tolerance = toleranceOf(profile, rep.start, id as MeasureId);
    return !measure.measured || tolerance === null || measure.unit === tolerance.unit;
  })) as Measures;
  return check(rep.start, measures, profile, rep.lead);
}

/** The verdicts on stored reps of a start that differ between two profiles, newest rep first. `athleteIds` null means everybody. */
export function preview(log: AthleteLog, start: StartId, before: Profile, after: Profile, athleteIds: readonly string[] | null): Preview {
  const dates = new Map(log.sessions.map((session) => [session.id, session.date]));
  const key = (rep: Rep): string => `${dates.get(rep.sessionId) ?? ''} ${String(rep.number).padStart(6, '0')}`;
  const reps = log.reps
    .filter((rep) => rep.start === start && (athleteIds === null || athleteIds.includes(rep.athleteId)) && Object.keys(rep.measures).length > 0)
    .toSorted((a, b) => key(b).localeCompare(key(a)));
  let verdicts = 0;
  const changed = reps.flatMap((rep) => {
    const [was, would] = [findingsOf(rep, before), findingsOf(rep, after)];
    verdicts += would.length;
    const ids = [...new Set([...was, ...would].map((finding) => finding.measure))];
    return ids.flatMap((measure): ChangedVerdict[] => {
      const [a, b] = [was, would].map((list) => list.find((finding) => finding.measure === measure) ?? null);
      return a?.verdict === b?.verdict && a?.side === b?.side ? [] : [{ rep, measure, before: a ?? null, after: b ?? null }];
    });
  });
  return { reps: reps.length, verdicts, changed };
}
