import fc from 'fast-check';
import type { AthleteLog, Rep, Session } from '../../src/athletelog/index.ts';
import { DEFAULT_LADDER, SURFACE_IDS } from '../../src/athletelog/index.ts';
import { DEFAULT_STOP_RULES } from '../../src/compare/index.ts';
import type { Backup } from '../../src/export/index.ts';
import { BACKUP_FORMAT, BACKUP_VERSION } from '../../src/export/index.ts';
import { MOMENT_IDS } from '../../src/phases/moment.ts';
import { MEASURE_IDS } from '../../src/shapes/measure.ts';
import type { Measures } from '../../src/shapes/measure.ts';
import { START_IDS } from '../../src/starts/start.ts';
import { DEFAULT_PROFILE } from '../../src/tolerances/index.ts';
import { WHY_NOT } from '../../src/units/why-not.ts';

const finite = fc.double({ noNaN: true, noDefaultInfinity: true });
const point = fc.record({ x: finite, y: finite });
const text = fc.string({ unit: 'grapheme', maxLength: 40 });
const date = fc.date({ min: new Date('2020-01-01T00:00:00Z'), max: new Date('2030-12-31T00:00:00Z'), noInvalidDate: true }).map((d) => d.toISOString().slice(0, 10));
const side = fc.constantFrom('left' as const, 'right' as const);
const source = fc.constantFrom('detected' as const, 'user' as const);
const unmeasured = fc.constantFrom(...WHY_NOT).map((why) => ({ measured: false as const, why }));
const measured = fc.record({
  measured: fc.constant(true as const),
  value: finite,
  unit: fc.constantFrom('deg' as const, 'leg' as const, 'm' as const, 's' as const, 'leg/s' as const, 'm/s' as const, 'deg/s' as const, 'count' as const),
  ci95: fc.tuple(finite, finite),
  t: fc.option(finite),
  frame: fc.option(fc.nat()),
  source,
});
const measures: fc.Arbitrary<Measures> = fc.dictionary(fc.constantFrom(...MEASURE_IDS), fc.oneof(measured, unmeasured), { maxKeys: 8, noNullPrototype: true });
const moment = fc.oneof(
  fc.record({ found: fc.constant(true as const), t: finite, sd: fc.double({ min: 0, max: 1, noNaN: true }), source }),
  fc.constantFrom(...WHY_NOT).map((why) => ({ found: false as const, why })),
);
const moments = fc.record(Object.fromEntries(MOMENT_IDS.map((id) => [id, moment])) as Record<(typeof MOMENT_IDS)[number], typeof moment>);
const timeBase = fc.oneof(
  fc.constant({ kind: 'known' as const }), fc.constant({ kind: 'assumed' as const }),
  fc.double({ min: 1, max: 16, noNaN: true }).map((factor) => ({ kind: 'slowed' as const, factor })),
);
const growth = fc.uniqueArray(fc.record({
  date,
  heightM: fc.option(fc.double({ min: 0.8, max: 2, noNaN: true })),
  legLengthM: fc.option(fc.double({ min: 0.3, max: 1, noNaN: true })),
}), { maxLength: 4, selector: (entry) => entry.date });
const name = text.filter((t) => t.trim() !== '').map((t) => t.trim());

const athlete = fc.record({
  id: fc.uuid(), name, birthYear: fc.option(fc.integer({ min: 2000, max: 2020 })), lead: fc.option(side),
  usualStart: fc.constantFrom(...START_IDS), growth, note: text,
  groups: fc.array(name, { maxLength: 2 }),
  ticks: fc.uniqueArray(fc.record({ start: fc.constantFrom(...START_IDS), date }), { maxLength: 3, selector: (tick) => tick.start }),
  isInvented: fc.boolean(),
});
const legs = fc.option(fc.constantFrom('rested' as const, 'tired' as const));
const metres = fc.double({ min: 0, max: 30, noNaN: true });
const floorPlan = fc.record({ markAtM: finite, edgeAtM: finite, passLengthM: metres, passLengthSdM: metres, keepFreeM: metres });
const session = fc.record({ id: fc.uuid(), date, place: text, surfaces: fc.subarray([...SURFACE_IDS]), note: text, isInvented: fc.boolean() });
const repBody = fc.record({
  start: fc.constantFrom(...START_IDS),
  surfaces: fc.subarray([...SURFACE_IDS]),
  lead: side,
  legs,
  hasPain: fc.boolean(),
  pass: text,
  fitted: fc.option(fc.boolean()),
  markAtM: fc.option(finite),
  isStarred: fc.boolean(),
  note: text,
  clip: fc.option(fc.record({ fileName: text, timeBase, fps: fc.double({ min: 1, max: 960, noNaN: true }), model: text, engineVersion: text })),
  moments: fc.option(moments),
  measures,
  stated: fc.record({ start: fc.constantFrom(...START_IDS), lead: side, heightM: fc.double({ min: 0.5, max: 2.5, noNaN: true }), timeBase, moments: fc.dictionary(fc.constantFrom(...MOMENT_IDS), finite, { noNullPrototype: true }), swaps: fc.array(fc.record({ part: fc.constantFrom('legs', 'arms'), fromS: fc.option(finite), toS: fc.option(finite), seen: fc.record({ t: finite, left: point, right: point }) }), { maxLength: 2 }) }, { requiredKeys: [] }),
  judgedBy: fc.option(fc.record({ id: fc.uuid(), revision: fc.integer({ min: 1, max: 99 }) })),
  isInvented: fc.constant(true as const),
}, { requiredKeys: ['start', 'surfaces', 'lead', 'legs', 'hasPain', 'pass', 'fitted', 'markAtM', 'isStarred', 'note', 'clip', 'moments', 'measures', 'stated', 'judgedBy'] });

/** Logs with up to 3 athletes, 3 sessions and 6 reps that hold together. */
export const randomLog: fc.Arbitrary<AthleteLog> = fc.record({
  athletes: fc.uniqueArray(athlete, { minLength: 1, maxLength: 3, selector: (each) => each.id }),
  sessions: fc.uniqueArray(session, { minLength: 1, maxLength: 3, selector: (each) => each.id }),
  bodies: fc.array(fc.tuple(repBody, fc.nat(), fc.nat()), { maxLength: 6 }),
  present: fc.array(fc.tuple(legs, fc.option(floorPlan)), { maxLength: 3 }),
}).map(({ athletes, sessions, bodies, present }): AthleteLog => ({
  athletes: athletes,
  sessions: sessions.map((each): Session => ({
    ...each,
    present: present.slice(0, athletes.length).map(([state, plan], i) => ({ athleteId: athletes[i]!.id, legs: state, floorPlan: plan })),
  })),
  reps: bodies.map(([body, a, s], i): Rep => ({
    ...(body as Omit<Rep, 'id' | 'athleteId' | 'sessionId' | 'number'>),
    id: `rep-${i}`,
    athleteId: athletes[a % athletes.length]!.id,
    sessionId: sessions[s % sessions.length]!.id,
    number: i + 1,
  })),
}));

/** Backups of such logs, with and without the coach's own profile and rules. */
export const randomBackup: fc.Arbitrary<Backup> = fc.record({
  log: randomLog, hasOwn: fc.integer({ min: 0, max: 9 }).map((n) => n === 0), at: fc.date({ min: new Date('2020-01-01T00:00:00Z'), max: new Date('2030-12-31T00:00:00Z'), noInvalidDate: true }),
}).map(({ log, hasOwn, at }): Backup => ({
  format: BACKUP_FORMAT,
  version: BACKUP_VERSION,
  savedAt: at.toISOString(),
  log,
  profiles: hasOwn ? [DEFAULT_PROFILE, { ...DEFAULT_PROFILE, revision: DEFAULT_PROFILE.revision + 1 }] : [],
  profileInUse: hasOwn ? DEFAULT_PROFILE.id : null,
  assignments: hasOwn ? [{ profileId: DEFAULT_PROFILE.id, athleteIds: [log.athletes[0]!.id], groups: ['Tuesday'] }] : [],
  stopRules: hasOwn ? DEFAULT_STOP_RULES : null,
  ladder: hasOwn ? DEFAULT_LADDER : null,
}));
