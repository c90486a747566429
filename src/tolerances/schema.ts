import { z } from '../units/zod.ts';
import { MEASURE_IDS } from '../shapes/measure.ts';
import { START_IDS } from '../starts/start.ts';
import { applies, BAND_UNITS, naturalRange } from './applies.ts';

/** Value of `format` in every tolerance file. */
export const TOLERANCE_FORMAT = 'lungeline-tolerances';

/** Newest version of the tolerance file that this build reads and the one that it writes. */
export const TOLERANCE_VERSION = 1;

/** Where a default comes from: published number, geometry, measurement error, common practice without a source, or the coach. */
export const BASIS_TAGS = ['P', 'G', 'E', 'CP', 'coach'] as const;

const finite = z.number().refine(Number.isFinite, 'must be a finite number');

/** One tolerance: the target band of one measure in one start. */
export const toleranceSchema = z
  .strictObject({
    /**
     * Target band, lower and upper end included, in `unit`; null means "shown, not scored".
     * For the unit `side` it is relative to the lead leg: [1, 1] is the lead leg, [−1, −1] the other leg.
     */
    band: z.tuple([finite, finite]).readonly().nullable(),
    /** How far beyond the band still counts as near, in `unit`. */
    softMargin: finite.nonnegative(),
    /** 1 (detail) to 5 (what the start is about): orders the cues. */
    importance: z.int().min(1).max(5),
    unit: z.enum(['deg', 'leg', 'm', 's', 'leg/s', 'm/s', 'deg/s', 'count', 'side']),
    basis: z.strictObject({ tag: z.enum(BASIS_TAGS), text: z.string().min(1).max(600) }).readonly(),
    /** The coach's own words instead of the built-in cue. */
    cueBelow: z.string().trim().min(1).max(300).exactOptional(),
    cueAbove: z.string().trim().min(1).max(300).exactOptional(),
  })
  .readonly();

const tolerancesSchema = z
  .partialRecord(z.enum(START_IDS), z.partialRecord(z.enum(MEASURE_IDS), toleranceSchema).readonly())
  .readonly();

/** A tolerance profile as kept and as written to a file; see docs/tolerances-format.md. */
export const profileSchema = z
  .strictObject({
    format: z.literal(TOLERANCE_FORMAT),
    version: z.literal(TOLERANCE_VERSION),
    id: z.string().min(1).max(300),
    name: z.string().trim().min(1).max(100),
    /** Counts the edits, from 1: id and revision together name what judged a rep. */
    revision: z.int().min(1),
    /** The profile that this one was copied from, or whose entries it overrides. */
    basedOn: z.strictObject({ id: z.string().min(1).max(300), revision: z.int().min(1) }).readonly().exactOptional(),
    tolerances: tolerancesSchema,
  })
  .readonly()
  .superRefine((profile, context) => {
    for (const start of START_IDS) {
      for (const measure of MEASURE_IDS) {
        const entry = profile.tolerances[start]?.[measure];
        if (entry === undefined) continue;
        const path = ['tolerances', start, measure];
        if (!applies(start, measure)) context.addIssue({ code: 'custom', path, message: 'this start has no such measure' });
        if (!BAND_UNITS[measure].includes(entry.unit)) {
          context.addIssue({ code: 'custom', path: [...path, 'unit'], message: `unit must be ${BAND_UNITS[measure].join(' or ')}` });
        }
        const wrongBand = entry.band === null ? null : bandFault(measure, entry.band);
        if (wrongBand !== null) context.addIssue({ code: 'custom', path: [...path, 'band'], message: wrongBand });
      }
    }
  });

/** One tolerance. */
export type Tolerance = z.infer<typeof toleranceSchema>;

/** A tolerance profile: complete, or only the entries that override another profile. */
export type Profile = z.infer<typeof profileSchema>;

/** Where a tolerance comes from. */
export type Basis = Tolerance['basis'];

/** What is wrong with a band for a measure, in words for the editor; null when nothing is. */
export function bandFault(measure: (typeof MEASURE_IDS)[number], band: readonly [number, number]): string | null {
  const [low, high] = band;
  if (!Number.isFinite(low) || !Number.isFinite(high)) return 'both ends must be numbers';
  if (low > high) return 'the lower end must not be above the upper end';
  if (measure === 'steps.firstLeg' && !(low === high && Math.abs(low) === 1)) return 'must be the lead leg (1 to 1) or the other leg (−1 to −1)';
  const range = naturalRange(measure);
  if (range !== null && (low < range[0] || high > range[1])) return `this angle lies between ${range[0]}° and ${range[1]}°`;
  return null;
}
