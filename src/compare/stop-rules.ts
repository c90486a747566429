import type { MeasureId } from '../shapes/measure.ts';
import type { StartId } from '../starts/start.ts';
import { difference } from './difference.ts';
import type { RepSpread } from './difference.ts';
import { drift } from './drift.ts';
import { fasterWhen } from './rep-value.ts';
import type { RepValue } from './rep-value.ts';

/** When to stop or change, editable by the coach. All defaults are common practice, no source, but where noted. */
export interface StopRules {
  readonly version: 1;
  /** A drill start is tried at most this often in a row. */
  readonly drillTries: number;
  /** Measures that tell whether a drill rep is faster, the first one measured counts. */
  readonly speedMeasures: readonly MeasureId[];
  /** Measures whose fall over the session means tired legs. */
  readonly fallingMeasures: readonly MeasureId[];
  /** Fall in percent of the session's first level from which a shown fall counts. */
  readonly fallPercent: number;
  /** Reps of one start from which a fall can be judged; never below five, where a trend has no interval. */
  readonly fallReps: number;
  /** Passes in a row without a longer rest from which the tool reminds of rest; null = never. */
  readonly mostReps: number | null;
}

/** Rules that hold until the coach edits them. 3 %: the lower edge of "own best" for hip speed in the tolerances. */
export const DEFAULT_STOP_RULES: StopRules = {
  version: 1,
  drillTries: 3,
  speedMeasures: ['launch.hipSpeed', 'time.toPlant', 'time.toHands'],
  fallingMeasures: ['launch.hipSpeed', 'launch.pushKnee', 'hurdle.flight'],
  fallPercent: 3,
  fallReps: 5,
  mostReps: 12,
};

/** One rep of the session, in order. */
export interface SessionRep {
  readonly start: StartId;
  readonly values: Readonly<Partial<Record<MeasureId, RepValue>>>;
  /** The athlete said that something hurts. */
  readonly hasPain: boolean;
}

/** One piece of advice with the figures that triggered it; advice, never a lock. Words are chosen elsewhere. */
export type StopAdvice =
  | { readonly kind: 'stop-pain'; readonly rep: number }
  | {
      readonly kind: 'stop-falling';
      readonly start: StartId;
      readonly measure: MeasureId;
      /** Change over these reps along the trend, in the measure's unit, with its interval. */
      readonly change: number;
      readonly changeCi95: readonly [number, number];
      readonly changePercent: number;
      readonly reps: number;
    }
  | {
      readonly kind: 'drill-faster';
      readonly start: StartId;
      readonly measure: MeasureId;
      readonly change: number;
      readonly changeCi95: readonly [number, number];
      /** Whether the athlete's spread is counted, or only these reps' measurement error. */
      readonly about: 'athlete' | 'these-reps';
      readonly tries: number;
    }
  | { readonly kind: 'drill-tries-done'; readonly start: StartId; readonly tries: number; readonly limit: number }
  | { readonly kind: 'rest-reminder'; readonly reps: number; readonly limit: number };

/** Facts about the athlete that the rules need. */
export interface StopContext {
  /** The start that the athlete competes with: every other one is a drill. */
  readonly usualStart: StartId;
  readonly rules: StopRules;
  /** Usual rep-to-rep spread by start and measure, where known. */
  readonly history?: (start: StartId, measure: MeasureId) => RepSpread | undefined;
}

/** What the session's reps so far say about stopping, most urgent first; empty = nothing speaks against the next rep, which is not a clearance. */
export function stopAdvice(reps: readonly SessionRep[], context: StopContext): readonly StopAdvice[] {
  const pain = reps.findIndex((rep) => rep.hasPain);
  return [
    ...(pain >= 0 ? [{ kind: 'stop-pain' as const, rep: pain + 1 }] : []),
    ...fallingAdvice(reps, context.rules),
    ...drillAdvice(reps, context),
    ...(context.rules.mostReps !== null && reps.length >= context.rules.mostReps
      ? [{ kind: 'rest-reminder' as const, reps: reps.length, limit: context.rules.mostReps }]
      : []),
  ];
}

function fallingAdvice(reps: readonly SessionRep[], rules: StopRules): readonly StopAdvice[] {
  const starts = [...new Set(reps.map((rep) => rep.start))];
  return starts.flatMap((start) => rules.fallingMeasures.flatMap((measure): StopAdvice[] => {
    const values = reps.flatMap((rep, i) => {
      const value = rep.values[measure];
      return rep.start === start && value !== undefined ? [{ ...value, rep: i + 1 }] : [];
    });
    if (values.length < Math.max(5, rules.fallReps)) return [];
    const held = drift(values);
    if (held?.perRepCi95 == null || held.moved === null || held.perRepCi95[1] >= 0) return [];
    const span = values[values.length - 1]!.rep - values[0]!.rep;
    // Level at the first rep along the trend: the mean lies in the middle of it.
    const firstLevel = held.mean - held.moved / 2;
    const changePercent = (100 * held.moved) / firstLevel;
    if (!(changePercent <= -rules.fallPercent)) return [];
    return [{
      kind: 'stop-falling', start, measure, change: held.moved,
      changeCi95: [held.perRepCi95[0] * span, held.perRepCi95[1] * span], changePercent, reps: values.length,
    }];
  }));
}

function drillAdvice(reps: readonly SessionRep[], context: StopContext): readonly StopAdvice[] {
  const last = reps[reps.length - 1];
  if (last === undefined || last.start === context.usualStart) return [];
  const since = reps.findLastIndex((rep) => rep.start !== last.start) + 1;
  const tries = reps.slice(since);
  const faster = fasterTry(tries, last.start, context);
  if (faster !== null) return [faster];
  return tries.length >= context.rules.drillTries
    ? [{ kind: 'drill-tries-done', start: last.start, tries: tries.length, limit: context.rules.drillTries }]
    : [];
}

/** The last try against the earlier ones in this row, by the first speed measure that all of them have. */
function fasterTry(tries: readonly SessionRep[], start: StartId, context: StopContext): StopAdvice | null {
  if (tries.length < 2) return null;
  for (const measure of context.rules.speedMeasures) {
    const when = fasterWhen(measure);
    const values = tries.map((rep) => rep.values[measure]).filter((v) => v !== undefined);
    if (when === 'neither' || values.length < tries.length) continue;
    const history = context.history?.(start, measure);
    const options = history === undefined ? { fasterWhen: when } : { fasterWhen: when, history };
    const found = difference(values.slice(0, -1), values.slice(-1), options);
    if (found === null || found.verdict !== 'faster') return null;
    return { kind: 'drill-faster', start, measure, change: found.value, changeCi95: found.ci95, about: found.about, tries: tries.length };
  }
  return null;
}
