import type { MeasureId } from '../shapes/measure.ts';
import { MEASURE_IDS } from '../shapes/measure.ts';
import type { StartId } from '../starts/start.ts';
import { START_IDS } from '../starts/start.ts';
import { applies } from './applies.ts';
import { DEFAULT_PROFILE, defaultTolerance } from './defaults.ts';
import type { Profile, Tolerance } from './schema.ts';
import { bandFault, TOLERANCE_FORMAT, TOLERANCE_VERSION } from './schema.ts';

/** The coach's changes to one tolerance; what is left out stays. */
export interface ToleranceEdit {
  /** New target band in the entry's unit; null stops scoring. */
  readonly band?: readonly [number, number] | null;
  readonly softMargin?: number;
  readonly importance?: number;
  readonly unit?: Tolerance['unit'];
  /** The coach's own cue; null goes back to the built-in words. */
  readonly cueBelow?: string | null;
  readonly cueAbove?: string | null;
  /** Why the coach set it so; without it the basis reads "set by the coach". */
  readonly reason?: string;
}

/** The tolerance of one measure in one start; null when the profile has none (an override leaves it to its base). */
export function toleranceOf(profile: Profile, start: StartId, measure: MeasureId): Tolerance | null {
  return profile.tolerances[start]?.[measure] ?? null;
}

/** Whether a tolerance is shown without a verdict. */
export function isInformational(tolerance: Tolerance): boolean {
  return tolerance.band === null;
}

/** A full copy of a profile under a new id and name, at revision 1. */
export function copyProfile(source: Profile, id: string, name: string): Profile {
  return { format: TOLERANCE_FORMAT, version: TOLERANCE_VERSION, id, name, revision: 1, basedOn: { id: source.id, revision: source.revision }, tolerances: source.tolerances };
}

/** An empty set of overrides for an athlete or a group on top of a base profile, at revision 1. */
export function newOverride(base: Profile, id: string, name: string): Profile {
  return { format: TOLERANCE_FORMAT, version: TOLERANCE_VERSION, id, name, revision: 1, basedOn: { id: base.id, revision: base.revision }, tolerances: {} };
}

/**
 * The profile in force: the base with every entry that an override names replaced; the last override wins.
 * Its id joins id and revision of all layers, e.g. "default@1+u10@3", so that a rep can name exactly what judged it.
 */
export function layerProfiles(base: Profile, ...overrides: readonly Profile[]): Profile {
  if (overrides.length === 0) return base;
  const layers = [base, ...overrides];
  const tolerances = Object.fromEntries(START_IDS.map((start) => [start, Object.assign({}, ...layers.map((layer) => layer.tolerances[start] ?? {}))]));
  return {
    ...base,
    id: layers.map((layer) => `${layer.id}@${layer.revision}`).join('+'),
    name: layers.map((layer) => layer.name).join(' + '),
    revision: 1,
    tolerances,
  };
}

/**
 * The profile with one tolerance edited and its revision raised by one.
 * An entry that an override lacks starts from `base` (the defaults unless given). Throws RangeError for a band that the measure cannot have.
 */
export function editTolerance(profile: Profile, start: StartId, measure: MeasureId, edit: ToleranceEdit, base: Profile = DEFAULT_PROFILE): Profile {
  if (!applies(start, measure)) throw new RangeError(`${start} has no measure ${measure}`);
  const before = toleranceOf(profile, start, measure) ?? toleranceOf(base, start, measure) ?? defaultTolerance(start, measure);
  const { cueBelow: oldBelow, cueAbove: oldAbove, ...rest } = before;
  const cueBelow = edit.cueBelow === undefined ? oldBelow : (edit.cueBelow ?? undefined);
  const cueAbove = edit.cueAbove === undefined ? oldAbove : (edit.cueAbove ?? undefined);
  const after: Tolerance = {
    ...rest,
    ...(edit.band === undefined ? {} : { band: edit.band }),
    ...(edit.softMargin === undefined ? {} : { softMargin: edit.softMargin }),
    ...(edit.importance === undefined ? {} : { importance: edit.importance }),
    ...(edit.unit === undefined ? {} : { unit: edit.unit }),
    ...(cueBelow === undefined ? {} : { cueBelow }),
    ...(cueAbove === undefined ? {} : { cueAbove }),
    basis: { tag: 'coach', text: edit.reason ?? 'set by the coach' },
  };
  const fault = after.band === null ? null : bandFault(measure, after.band);
  if (fault !== null) throw new RangeError(`${start} ${measure}: ${fault}`);
  if (!(after.softMargin >= 0 && Number.isFinite(after.softMargin))) throw new RangeError(`soft margin must be 0 or more, got ${after.softMargin}`);
  if (!(Number.isInteger(after.importance) && after.importance >= 1 && after.importance <= 5)) throw new RangeError(`importance must be 1 to 5, got ${after.importance}`);
  return withEntry(profile, start, measure, after);
}

/** The profile with one band set, everything else of the entry kept. */
export function setBand(profile: Profile, start: StartId, measure: MeasureId, band: readonly [number, number] | null, softMargin?: number): Profile {
  return editTolerance(profile, start, measure, { band, ...(softMargin === undefined ? {} : { softMargin }) });
}

/** The profile with one entry back at its default; in an override (which has no complete set) the entry is removed, so the base rules again. */
export function resetTolerance(profile: Profile, start: StartId, measure: MeasureId): Profile {
  return withEntry(profile, start, measure, isComplete(profile) ? defaultTolerance(start, measure) : null);
}

/** The profile with every entry back at its default (an override becomes empty). */
export function resetProfile(profile: Profile): Profile {
  return { ...profile, revision: profile.revision + 1, tolerances: isComplete(profile) ? DEFAULT_PROFILE.tolerances : {} };
}

/** Whether a profile holds every measure of every start; an override does not. */
export function isComplete(profile: Profile): boolean {
  return START_IDS.every((start) => MEASURE_IDS.every((measure) => !applies(start, measure) || toleranceOf(profile, start, measure) !== null));
}

/** The entries that differ between two profiles, in the order of starts and measures; basis texts and own cues count. */
export function changedTolerances(before: Profile, after: Profile): readonly { readonly start: StartId; readonly measure: MeasureId; readonly before: Tolerance | null; readonly after: Tolerance | null }[] {
  return START_IDS.flatMap((start) =>
    MEASURE_IDS.flatMap((measure) => {
      const a = toleranceOf(before, start, measure);
      const b = toleranceOf(after, start, measure);
      return sameTolerance(a, b) ? [] : [{ start, measure, before: a, after: b }];
    }),
  );
}

function withEntry(profile: Profile, start: StartId, measure: MeasureId, entry: Tolerance | null): Profile {
  const others = Object.entries(profile.tolerances[start] ?? {}).filter(([id]) => id !== measure);
  const ofStart: Partial<Record<MeasureId, Tolerance>> = Object.fromEntries(entry === null ? others : [...others, [measure, entry]]);
  return { ...profile, revision: profile.revision + 1, tolerances: { ...profile.tolerances, [start]: ofStart } };
}

function sameTolerance(a: Tolerance | null, b: Tolerance | null): boolean {
  if (a === null || b === null) return a === b;
  return (
    a.band?.[0] === b.band?.[0] &&
    a.band?.[1] === b.band?.[1] &&
    a.softMargin === b.softMargin &&
    a.importance === b.importance &&
    a.unit === b.unit &&
    a.basis.tag === b.basis.tag &&
    a.basis.text === b.basis.text &&
    a.cueBelow === b.cueBelow &&
    a.cueAbove === b.cueAbove
  );
}
