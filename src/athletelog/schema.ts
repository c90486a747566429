import { z } from '../units/zod.ts';
import type { FloorPlan } from '../compare/index.ts';
import { MOMENT_IDS } from '../phases/moment.ts';
import { LANDMARKS } from '../pose/landmarks.ts';
import type { Overrides } from '../reading/reading.ts';
import { MEASURE_IDS } from '../shapes/measure.ts';
import { START_IDS } from '../starts/start.ts';
import { WHY_NOT } from '../units/why-not.ts';
import { SURFACE_IDS } from './surface.ts';

const id = z.string().min(1).max(100);
const date = z.iso.date();
const text = z.string().max(4000);
const side = z.enum(['left', 'right']);
const source = z.enum(['detected', 'user']);
const finite = z.number();
const time = z.number().nonnegative();

/** A length that was measured on a day: children grow, so every length has its date. */
export const growthSchema = z.strictObject({
  date,
  /** Standing height in metres, null when only the leg was measured. */
  heightM: z.number().min(0.5).max(2.5).nullable(),
  /** Hip joint to ankle joint (thigh + shank) in metres, null when only the height was measured. */
  legLengthM: z.number().min(0.2).max(1.5).nullable(),
}).readonly();

/** An athlete. A nickname will do: nothing else that tells who it is has to be stored. */
export const athleteSchema = z.strictObject({
  id,
  name: z.string().trim().min(1).max(100),
  /** Null when not stored. */
  birthYear: z.int().min(1900).max(2200).nullable(),
  /** The leg the athlete lunges onto, null when not known yet. */
  lead: side.nullable(),
  usualStart: z.enum(START_IDS),
  growth: z.array(growthSchema).readonly(),
  /** Names of the groups that the athlete trains in. */
  groups: z.array(z.string().trim().min(1).max(100)).max(50).readonly(),
  /** Starts that the coach has ticked off on the ladder, with the day. */
  ticks: z.array(z.strictObject({ start: z.enum(START_IDS), date }).readonly()).readonly(),
  note: text,
  /** True for the athletes of the demonstration. */
  isInvented: z.boolean(),
}).readonly();

/** Legs before a session or a rep, as the coach saw them. */
const legs = z.enum(['rested', 'tired']).nullable();

/** The floor on which an athlete's pass must fit, metres along the travel from one zero of the coach's choice. */
export const floorPlanSchema: z.ZodType<FloorPlan> = z.strictObject({
  markAtM: finite,
  edgeAtM: finite,
  passLengthM: z.number().nonnegative(),
  passLengthSdM: z.number().nonnegative(),
  keepFreeM: z.number().nonnegative(),
}).readonly();

/** One training day at one place. */
export const sessionSchema = z.strictObject({
  id,
  date,
  place: z.string().max(200),
  /** Floors of the day: what a new rep starts from. */
  surfaces: z.array(z.enum(SURFACE_IDS)).max(SURFACE_IDS.length).readonly(),
  /** Who was there, in what state before the session, and the floor of their pass where the coach measured it. */
  present: z.array(z.strictObject({ athleteId: id, legs, floorPlan: floorPlanSchema.nullable() }).readonly()).readonly(),
  note: text,
  /** True for the sessions of the demonstration. */
  isInvented: z.boolean(),
}).readonly();

/** Measure as kept with a rep. */
export const measureSchema = z.discriminatedUnion('measured', [
  z.strictObject({
    measured: z.literal(true),
    value: finite,
    unit: z.enum(['deg', 'leg', 'm', 's', 'leg/s', 'm/s', 'deg/s', 'count', 'side']),
    ci95: z.tuple([finite, finite]).readonly(),
    t: finite.nullable(),
    frame: z.int().nonnegative().nullable(),
    source,
  }).readonly(),
  z.strictObject({ measured: z.literal(false), why: z.enum(WHY_NOT) }).readonly(),
]);

const momentSchema = z.discriminatedUnion('found', [
  z.strictObject({ found: z.literal(true), t: finite, sd: time, source }).readonly(),
  z.strictObject({ found: z.literal(false), why: z.enum(WHY_NOT) }).readonly(),
]);

const timeBaseSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('known') }).readonly(),
  z.strictObject({ kind: z.literal('assumed') }).readonly(),
  z.strictObject({ kind: z.literal('slowed'), factor: z.number().positive() }).readonly(),
]);

const tap = z.strictObject({ x: finite, y: finite }).readonly();
const floorSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('marks'), a: tap, b: tap, apartM: z.number().positive() }).readonly(),
  z.strictObject({
    kind: z.literal('mat'), nearLeft: tap, nearRight: tap, farRight: tap, farLeft: tap,
    alongM: z.number().positive(), acrossM: z.number().positive(),
  }).readonly(),
]);

/** What the user stated about a rep; the compiler checks that nothing that can be stated is missing here. */
export const overridesSchema: z.ZodType<Overrides> = z.strictObject({
  start: z.enum(START_IDS).exactOptional(),
  lead: side.exactOptional(),
  direction: z.enum(['left-to-right', 'right-to-left']).exactOptional(),
  moments: z.partialRecord(z.enum(MOMENT_IDS), finite).readonly().exactOptional(),
  timeBase: timeBaseSchema.exactOptional(),
  heightM: z.number().positive().exactOptional(),
  floor: floorSchema.exactOptional(),
  swaps: z.array(z.strictObject({
    part: z.enum(['legs', 'arms']),
    fromS: finite.nullable(),
    toS: finite.nullable(),
    seen: z.strictObject({ t: finite, left: tap, right: tap }).readonly(),
  }).readonly()).readonly().exactOptional(),
  joints: z.array(z.strictObject({ t: finite, landmark: z.enum(LANDMARKS), x: finite, y: finite }).readonly()).readonly().exactOptional(),
}).readonly();

/** One rep of one athlete in one session. */
export const repSchema = z.strictObject({
  id,
  athleteId: id,
  sessionId: id,
  /** Place in the athlete's session, from 1. */
  number: z.int().min(1).max(10000),
  start: z.enum(START_IDS),
  surfaces: z.array(z.enum(SURFACE_IDS)).max(SURFACE_IDS.length).readonly(),
  lead: side,
  legs,
  hasPain: z.boolean(),
  /** Skills that followed the round-off, as the coach writes them; empty when not said. */
  pass: z.string().max(200),
  /** Whether the pass fitted the floor, null when not said. */
  fitted: z.boolean().nullable(),
  /** Where the athlete's toe stood, metres along the travel from the coach's zero; null when not said. */
  markAtM: finite.nullable(),
  isStarred: z.boolean(),
  note: text,
  /** Facts of the clip that was measured; the clip itself is not kept here. Null for a rep without a clip. */
  clip: z.strictObject({
    fileName: z.string().max(300),
    timeBase: timeBaseSchema,
    fps: z.number().positive(),
    model: z.string().max(200),
    engineVersion: z.string().max(100),
  }).readonly().nullable(),
  moments: z.record(z.enum(MOMENT_IDS), momentSchema).readonly().nullable(),
  measures: z.partialRecord(z.enum(MEASURE_IDS), measureSchema).readonly(),
  stated: overridesSchema,
  /** The tolerance profile that judged the rep on its day, null when it was not judged. */
  judgedBy: z.strictObject({ id: z.string().min(1).max(300), revision: z.int().min(1) }).readonly().nullable(),
  /** There for a rep out of the computer-drawn example clip, whoever it was saved under. */
  isInvented: z.literal(true).exactOptional(),
}).readonly();

/** Everything that is kept about athletes: every id once, every rep with its athlete and session. */
export const logSchema = z.strictObject({
  athletes: z.array(athleteSchema).readonly(),
  sessions: z.array(sessionSchema).readonly(),
  reps: z.array(repSchema).readonly(),
}).readonly().superRefine((log, context) => {
  for (const fault of logFaults(log)) context.addIssue({ code: 'custom', message: fault });
});

/** What does not hold together in a log, in words for the diagnostics; empty when all is well. */
export function logFaults(log: {
  readonly athletes: readonly Athlete[];
  readonly sessions: readonly Session[];
  readonly reps: readonly Rep[];
}): readonly string[] {
  const faults: string[] = [];
  for (const [kind, records] of Object.entries({ athlete: log.athletes, session: log.sessions, rep: log.reps })) {
    const seen = new Set<string>();
    for (const record of records) {
      if (seen.has(record.id)) faults.push(`${kind} ${record.id} is there twice`);
      seen.add(record.id);
    }
  }
  const athletes = new Set(log.athletes.map((athlete) => athlete.id));
  const sessions = new Set(log.sessions.map((session) => session.id));
  const places = new Set<string>();
  for (const rep of log.reps) {
    if (!athletes.has(rep.athleteId)) faults.push(`rep ${rep.id} has no athlete`);
    if (!sessions.has(rep.sessionId)) faults.push(`rep ${rep.id} has no session`);
    const place = JSON.stringify([rep.athleteId, rep.sessionId, rep.number]);
    if (places.has(place)) faults.push(`rep ${rep.id} has a number that is taken`);
    places.add(place);
  }
  for (const session of log.sessions) {
    if (new Set(session.present.map((each) => each.athleteId)).size < session.present.length) faults.push(`session ${session.id} lists an athlete twice`);
    for (const { athleteId } of session.present) if (!athletes.has(athleteId)) faults.push(`session ${session.id} lists nobody's id`);
  }
  for (const athlete of log.athletes) {
    if (new Set(athlete.ticks.map((tick) => tick.start)).size < athlete.ticks.length) faults.push(`athlete ${athlete.id} has a start ticked twice`);
    if (new Set(athlete.growth.map((entry) => entry.date)).size < athlete.growth.length) faults.push(`athlete ${athlete.id} was measured twice on a day`);
  }
  return faults;
}

/** A measured length with its date. */
export type Growth = z.infer<typeof growthSchema>;
/** An athlete. */
export type Athlete = z.infer<typeof athleteSchema>;
/** A training day. */
export type Session = z.infer<typeof sessionSchema>;
/** A rep. */
export type Rep = z.infer<typeof repSchema>;
/** All athletes, sessions and reps. */
export type AthleteLog = z.infer<typeof logSchema>;

/** Gate for a ladder that comes from a file or from storage: every start once. */
export const ladderSchema = z.strictObject({
  version: z.literal(1),
  order: z.array(z.enum(START_IDS)).length(START_IDS.length).refine((order) => new Set(order).size === order.length, 'every start once').readonly(),
  rules: z.array(z.strictObject({
    id,
    kind: z.enum(['usual-minimum', 'very-advanced-only', 'beginner-drill', 'coach-at-side', 'never-in-sets']),
    starts: z.array(z.enum(START_IDS)).readonly(),
    onAll: z.array(z.enum(SURFACE_IDS)).readonly(),
    onAny: z.array(z.enum(SURFACE_IDS)).readonly(),
    text: z.string().trim().min(1).max(600),
  }).readonly()).readonly(),
  lastReps: z.int().min(1).max(100),
  fewestReps: z.int().min(1).max(100),
  holdShare: z.number().min(0).max(1),
}).readonly();
