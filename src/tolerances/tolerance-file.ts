import { MEASURE_IDS } from '../shapes/measure.ts';
import { START_IDS } from '../starts/start.ts';
import type { Outcome } from '../units/outcome.ts';
import { failure, success } from '../units/outcome.ts';
import { toleranceOf } from './edit.ts';
import type { Profile, Tolerance } from './schema.ts';
import { profileSchema, TOLERANCE_FORMAT, TOLERANCE_VERSION } from './schema.ts';

/** The text of a tolerance file (JSON, fixed key order, ends with a line break): equal profiles give equal bytes. */
export function writeToleranceFile(profile: Profile): string {
  const tolerances: Record<string, Record<string, unknown>> = {};
  for (const start of START_IDS) {
    const entries = MEASURE_IDS.flatMap((measure) => {
      const entry = toleranceOf(profile, start, measure);
      return entry === null ? [] : [[measure, ordered(entry)] as const];
    });
    if (entries.length > 0) tolerances[start] = Object.fromEntries(entries);
  }
  const { format, version, id, name, revision, basedOn } = profile;
  const file = { format, version, id, name, revision, ...(basedOn === undefined ? {} : { basedOn: { id: basedOn.id, revision: basedOn.revision } }), tolerances };
  return `${JSON.stringify(file, null, 2)}\n`;
}

/**
 * The profile in a tolerance file's text. A file of a newer version is refused as `file-too-new`,
 * a damaged or foreign one as `unreadable-file`; nothing of either is used.
 */
export function readToleranceFile(text: string, fileName: string): Outcome<Profile> {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    if (error instanceof SyntaxError) return failure({ kind: 'unreadable-file', fileName });
    throw error;
  }
  const version = newerVersion(json);
  if (version !== null) return failure({ kind: 'file-too-new', version });
  const parsed = profileSchema.safeParse(json);
  return parsed.success ? success(parsed.data) : failure({ kind: 'unreadable-file', fileName });
}

/** The version of a tolerance file that is newer than this build; null for anything else. */
function newerVersion(json: unknown): number | null {
  if (typeof json !== 'object' || json === null || !('format' in json) || !('version' in json)) return null;
  if (json.format !== TOLERANCE_FORMAT || typeof json.version !== 'number') return null;
  return Number.isInteger(json.version) && json.version > TOLERANCE_VERSION ? json.version : null;
}

function ordered(entry: Tolerance): unknown {
  const { band, softMargin, importance, unit, basis, cueBelow, cueAbove } = entry;
  return {
    band,
    softMargin,
    importance,
    unit,
    basis: { tag: basis.tag, text: basis.text },
    ...(cueBelow === undefined ? {} : { cueBelow }),
    ...(cueAbove === undefined ? {} : { cueAbove }),
  };
}
