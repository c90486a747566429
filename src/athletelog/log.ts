import type { StartId } from '../starts/start.ts';
import type { Athlete, AthleteLog, Rep, Session } from './schema.ts';
import { logFaults } from './schema.ts';

/** A log with nothing in it. */
export const EMPTY_LOG: AthleteLog = { athletes: [], sessions: [], reps: [] };

/** The log with the athlete added, or changed when the id is there. */
export function putAthlete(log: AthleteLog, athlete: Athlete): AthleteLog {
  return checked({ ...log, athletes: put(log.athletes, athlete) });
}

/** The log with the session added, or changed when the id is there. */
export function putSession(log: AthleteLog, session: Session): AthleteLog {
  return checked({ ...log, sessions: put(log.sessions, session) });
}

/** The log with the rep added, or changed when the id is there. Throws RangeError when its athlete or session is missing or its number is taken. */
export function putRep(log: AthleteLog, rep: Rep): AthleteLog {
  return checked({ ...log, reps: put(log.reps, rep) });
}

/** The log without the reps that match, and without the sessions in which there is no other. */
function removeReps(log: AthleteLog, isGone: (rep: Rep) => boolean): AthleteLog {
  const reps = log.reps.filter((rep) => !isGone(rep));
  const touched = new Set(log.reps.filter(isGone).map((rep) => rep.sessionId));
  const used = new Set(reps.map((rep) => rep.sessionId));
  return { ...log, sessions: log.sessions.filter((session) => !touched.has(session.id) || used.has(session.id)), reps };
}

/** The log without the athlete, all of the athlete's reps, and the sessions in which nobody else has a rep. */
export function removeAthlete(log: AthleteLog, athleteId: string): AthleteLog {
  const left = removeReps(log, (rep) => rep.athleteId === athleteId);
  return {
    ...left,
    athletes: left.athletes.filter((athlete) => athlete.id !== athleteId),
    sessions: left.sessions.map((session) => (session.present.some((each) => each.athleteId === athleteId)
      ? { ...session, present: session.present.filter((each) => each.athleteId !== athleteId) }
      : session)),
  };
}

/**
 * The log without all that is invented: the athletes, their reps, the reps of the example clip, and the sessions that hold nothing
 * else. A real rep keeps the invented session it was saved into, as a real one.
 */
export function removeInvented(log: AthleteLog): AthleteLog {
  const left = log.athletes.filter((athlete) => athlete.isInvented).reduce((rest, athlete) => removeAthlete(rest, athlete.id), removeReps(log, (rep) => rep.isInvented === true));
  const used = new Set(left.reps.map((rep) => rep.sessionId));
  return {
    ...left,
    sessions: left.sessions.flatMap((session) => (!session.isInvented ? session : used.has(session.id) ? { ...session, isInvented: false } : [])),
  };
}

/** The log without the session and its reps. */
export function removeSession(log: AthleteLog, sessionId: string): AthleteLog {
  return {
    ...log,
    sessions: log.sessions.filter((session) => session.id !== sessionId),
    reps: log.reps.filter((rep) => rep.sessionId !== sessionId),
  };
}

/** The log without the rep; the numbers of the others stay. */
export function removeRep(log: AthleteLog, repId: string): AthleteLog {
  return { ...log, reps: log.reps.filter((rep) => rep.id !== repId) };
}

/** The number for the next rep of an athlete in a session, from 1. */
export function nextRepNumber(log: AthleteLog, athleteId: string, sessionId: string): number {
  return repsOf(log, { athleteId, sessionId }).reduce((most, rep) => Math.max(most, rep.number), 0) + 1;
}

/** The reps that match, oldest session first, then by session and number. */
export function repsOf(
  log: AthleteLog,
  wanted: { readonly athleteId?: string; readonly sessionId?: string; readonly start?: StartId },
): readonly Rep[] {
  const dates = new Map(log.sessions.map((session) => [session.id, session.date]));
  const key = (rep: Rep): string => `${dates.get(rep.sessionId) ?? ''} ${rep.sessionId}`;
  return log.reps
    .filter((rep) => (wanted.athleteId ?? rep.athleteId) === rep.athleteId)
    .filter((rep) => (wanted.sessionId ?? rep.sessionId) === rep.sessionId)
    .filter((rep) => (wanted.start ?? rep.start) === rep.start)
    .toSorted((a, b) => (key(a) === key(b) ? a.number - b.number : key(a) < key(b) ? -1 : 1));
}

/** The reps session by session, in the order given. */
export function bySession<T extends { readonly sessionId: string }>(reps: readonly T[]): readonly (readonly [T, ...T[]])[] {
  const groups = new Map<string, [T, ...T[]]>();
  for (const rep of reps) {
    const group = groups.get(rep.sessionId);
    if (group === undefined) groups.set(rep.sessionId, [rep]);
    else group.push(rep);
  }
  return [...groups.values()];
}

function put<T extends { readonly id: string }>(records: readonly T[], record: T): readonly T[] {
  return records.some((each) => each.id === record.id)
    ? records.map((each) => (each.id === record.id ? record : each))
    : [...records, record];
}

function checked(log: AthleteLog): AthleteLog {
  const [fault] = logFaults(log);
  if (fault !== undefined) throw new RangeError(fault);
  return log;
}
