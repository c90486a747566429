import type { AthleteLog, Rep } from '../../athletelog/index.ts';
import { check } from '../../checker/check.ts';
import type { Finding } from '../../checker/finding.ts';
import type { MeasureId, Measures } from '../../shapes/measure.ts';
import type { StartId } from '../../starts/start.ts';
import { changedTolerances, isComplete, layerProfiles, measuresOf, toleranceOf, type Profile } from '../../tolerances/index.ts';

/** One verdict that an edit would change. */
export interface ChangedVerdict {
  readonly rep: Rep;
  readonly measure: MeasureId;
  /** Null where one of the two profiles does not judge the measure. */
  readonly before: Finding | null;
  readonly after: Finding | null;
}

/** Stored values of one measure and what a profile says about them. */
export interface Judged {
  readonly values: readonly number[];
  readonly findings: readonly Finding[];
}

/** Values and findings of every measure over some reps; values in another unit than the band's are left out. */
export function judgedReps(reps: readonly Rep[], profile: Profile): ReadonlyMap<MeasureId, Judged> {
  const judged = new Map<MeasureId, { readonly values: number[]; readonly findings: Finding[] }>();
  const of = (id: MeasureId) => {
    const known = judged.get(id) ?? { values: [], findings: [] };
    judged.set(id, known);
    return known;
  };
  for (const rep of reps) {
    for (const [key, measure] of Object.entries(rep.measures)) {
      const id = key as MeasureId;
      if (measure.measured && measure.unit === toleranceOf(profile, rep.start, id)?.unit) of(id).values.push(measure.value);
    }
    for (const finding of findingsOf(rep, profile)) if (finding.value !== null) of(finding.measure).findings.push(finding);
  }
  return judged;
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

/** The stored reps of a start with a measure, newest first. `athleteIds` null means everybody. */
export function repsToSee(log: AthleteLog, start: StartId, athleteIds: readonly string[] | null): readonly Rep[] {
  const dates = new Map(log.sessions.map((session) => [session.id, session.date]));
  const key = (rep: Rep): string => `${dates.get(rep.sessionId) ?? ''} ${String(rep.number).padStart(6, '0')}`;
  const keyed = log.reps
    .filter((rep) => rep.start === start && (athleteIds === null || athleteIds.includes(rep.athleteId)) && Object.keys(rep.measures).length > 0)
    .map((rep) => ({ rep, key: key(rep) }));
  return keyed.toSorted((a, b) => (a.key < b.key ? 1 : a.key > b.key ? -1 : 0)).map((each) => each.rep);
}

/** The verdicts on stored reps of a start that differ between two profiles, newest rep first. `athleteIds` null means everybody. */
export function preview(log: AthleteLog, start: StartId, before: Profile, after: Profile, athleteIds: readonly string[] | null): Preview {
  const reps = repsToSee(log, start, athleteIds);
  const edited = changedTolerances(before, after).filter((change) => change.start === start).map((change) => change.measure);
  const [was, would] = [onlyMeasures(before, start, edited), onlyMeasures(after, start, edited)];
  const judged = measuresOf(start).filter((id) => toleranceOf(after, start, id)?.band != null).length;
  const changed = edited.length === 0 ? [] : reps.flatMap((rep) => {
    const [old, next] = [findingsOf(rep, was), findingsOf(rep, would)];
    return edited.flatMap((measure): ChangedVerdict[] => {
      const [a, b] = [old, next].map((list) => list.find((finding) => finding.measure === measure) ?? null);
      return a?.verdict === b?.verdict && a?.side === b?.side ? [] : [{ rep, measure, before: a ?? null, after: b ?? null }];
    });
  });
  return { reps: reps.length, verdicts: reps.length * judged, changed };
}

/** A profile with some measures of one start only: nothing else has to be judged to see what an edit changes. */
function onlyMeasures(profile: Profile, start: StartId, measures: readonly MeasureId[]): Profile {
  const entries = measures.flatMap((id) => {
    const tolerance = toleranceOf(profile, start, id);
    return tolerance === null ? [] : [[id, tolerance] as const];
  });
  return { ...profile, tolerances: { [start]: Object.fromEntries(entries) } };
}
