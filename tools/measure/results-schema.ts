import { z } from '../../src/units/zod.ts';
import { MOMENT_IDS } from '../../src/phases/moment.ts';
import { MEASURE_IDS } from '../../src/shapes/measure.ts';
import { START_IDS } from '../../src/starts/start.ts';
import { WHY_NOT } from '../../src/units/why-not.ts';

/** Version of the results file; raised when a field changes its meaning. */
export const RESULTS_VERSION = 1;

const why = z.enum(WHY_NOT);
const source = z.enum(['detected', 'user']);
const interval = z.tuple([z.number(), z.number()]);

const moment = z.discriminatedUnion('found', [
  z.strictObject({ found: z.literal(true), t: z.number(), sd: z.number().positive(), source }),
  z.strictObject({ found: z.literal(false), why }),
]);

const measure = z.discriminatedUnion('measured', [
  z.strictObject({
    measured: z.literal(true),
    value: z.number(),
    unit: z.enum(['deg', 'leg', 'm', 's', 'leg/s', 'm/s', 'deg/s', 'count', 'side']),
    ci95: interval,
    t: z.number().nullable(),
    frame: z.int().nonnegative().nullable(),
    source,
  }),
  z.strictObject({ measured: z.literal(false), why }),
]);

const timeBase = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('known') }),
  z.strictObject({ kind: z.literal('assumed') }),
  z.strictObject({ kind: z.literal('slowed'), factor: z.number().positive() }),
]);

const finding = z.strictObject({
  measure: z.enum(MEASURE_IDS),
  verdict: z.enum(['in-band', 'near', 'too-close', 'out', 'not-measured']),
  side: z.enum(['below', 'above']).nullable(),
  value: z.number().nullable(),
  ci95: interval.nullable(),
  band: interval,
  why: z.enum([...WHY_NOT, 'other-unit']).nullable(),
  weight: z.number().nonnegative(),
});

const cue = z.strictObject({
  measure: z.enum(MEASURE_IDS),
  side: z.enum(['below', 'above']),
  text: z.string().min(1),
  figure: z.string(),
});

/** A clip that was measured. */
export const measuredRecordSchema = z.strictObject({
  clip: z.string(),
  ok: z.literal(true),
  engine: z.strictObject({ version: z.string(), model: z.string(), backend: z.string() }),
  start: z.strictObject({ id: z.enum(START_IDS), source, confidence: z.number().min(0).max(1) }),
  lead: z.strictObject({ side: z.enum(['left', 'right']), source, confidence: z.number().min(0).max(1) }),
  direction: z.strictObject({ value: z.enum(['left-to-right', 'right-to-left']), source, confidence: z.number().min(0).max(1) }),
  timeBase,
  legLengthPx: z.number(),
  part: z.strictObject({ fromS: z.number(), toS: z.number(), proposed: z.boolean() }),
  stoppedAtS: z.number().nullable(),
  moments: z.strictObject(Object.fromEntries(MOMENT_IDS.map((id) => [id, moment])) as Record<(typeof MOMENT_IDS)[number], typeof moment>),
  steps: z.array(z.strictObject({ foot: z.enum(['left', 'right']), t: z.number(), sd: z.number(), xPx: z.number() })),
  measures: z.partialRecord(z.enum(MEASURE_IDS), measure),
  findings: z.array(finding),
  /** The leading cue, null when nothing is out of its band. */
  cue: cue.nullable(),
  otherCues: z.array(cue),
  quality: z.strictObject({
    athleteHeightPx: z.number().nullable(),
    brightness: z.number().nullable(),
    sharpness: z.number().nullable(),
  }),
  /** Milliseconds from the open file to the finished record. */
  tookMs: z.number().nonnegative(),
});

/** A clip that could not be measured, with the problem as the engine named it. */
export const failedRecordSchema = z.strictObject({
  clip: z.string(),
  ok: z.literal(false),
  problem: z.looseObject({ kind: z.string() }),
});

/** One record a clip, in the order asked. */
export const resultsSchema = z.strictObject({
  format: z.literal('lungeline-results'),
  version: z.literal(RESULTS_VERSION),
  records: z.array(z.discriminatedUnion('ok', [measuredRecordSchema, failedRecordSchema])),
});

/** A clip's record when it was measured. */
export type MeasuredRecord = z.infer<typeof measuredRecordSchema>;
/** Any clip's record. */
export type ResultRecord = MeasuredRecord | z.infer<typeof failedRecordSchema>;
/** The whole results file. */
export type Results = z.infer<typeof resultsSchema>;
