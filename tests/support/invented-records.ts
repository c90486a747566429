import type { Athlete, Rep, Session } from '../../src/athletelog/index.ts';
import type { Analysis } from '../../src/reading/reading.ts';
import { unpackAnalysis } from '../../src/demo/unpack-track.ts';
import type { NewRep } from '../../src/storage/storage.ts';

/** An invented athlete of whom little is known. */
export function athleteOf(id: string, extra: Partial<Athlete> = {}): Athlete {
  return { id, name: `Invented ${id}`, birthYear: null, lead: 'left', usualStart: 'two-step-run', growth: [], groups: [], ticks: [], note: '', isInvented: false, ...extra };
}

/** A session on a day. */
export function sessionOf(id: string, date: string, extra: Partial<Session> = {}): Session {
  return { id, date, place: 'Invented hall', surfaces: [], present: [], note: '', isInvented: false, ...extra };
}

/** A rep without a number, as it is before it is saved. */
export function newRepOf(id: string, athleteId: string, session: Session, extra: Partial<NewRep> = {}): NewRep {
  const rep: Omit<Rep, 'number'> = {
    id, athleteId, sessionId: session.id, start: 'two-step-run', surfaces: ['sprung-floor'], lead: 'left', legs: null, hasPain: false, pass: '', fitted: null,
    markAtM: null, isStarred: false, note: '', clip: null, moments: null,
    measures: { 'time.toHands': { measured: true, value: 1.5, unit: 's', ci95: [1.2, 1.8], t: null, frame: null, source: 'user' } }, stated: {}, judgedBy: null,
  };
  return { rep, session, analysis: null, thumbnail: null, ...extra };
}

/** A short analysis with one gap. */
export function analysisOf(): Analysis {
  const frames = 3;
  return unpackAnalysis({
    timesUs: [0, 16667, 33333], widthPx: 64, heightPx: 36,
    quarterPx: Array.from({ length: frames * 66 }, (_, i) => (i < 2 ? null : i % 200)), scorePercent: Array.from({ length: frames * 33 }, (_, i) => i % 101), sdQuarterPx: Array.from({ length: frames * 33 }, () => null),
    model: 'invented', backend: 'none',
  }, false);
}

/** A small still. */
export const THUMBNAIL = { type: 'image/jpeg', bytes: new Uint8Array([255, 216, 255, 217]).buffer };
