import { usualSpread } from '../../athletelog/index.ts';
import type { AthleteLog, Rep } from '../../athletelog/index.ts';
import { difference, fasterWhen, minimalDetectableChange95, repValueOf, spreadOverSessions } from '../../compare/index.ts';
import type { Difference, RepValue } from '../../compare/index.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import type { StartId } from '../../starts/start.ts';
import { applies } from '../../tolerances/index.ts';

/** What is compared: times and speeds first, then the lengths of steps and lunge. */
export const COMPARED: readonly MeasureId[] = ['time.toHands', 'time.toPlant', 'launch.hipSpeed', 'steps.length[1]', 'steps.length[2]', 'plant.lungeRatio'];

/** One measure of two blocks of reps of one start, held against each other. */
export interface ComparedMeasure {
  readonly id: MeasureId;
  readonly unit: RepValue['unit'];
  readonly before: readonly RepValue[];
  readonly after: readonly RepValue[];
  /** Reps of either block without this measure, or with it in another unit. */
  readonly leftOut: number;
  readonly difference: Difference;
  /** Smallest change of one rep against one rep that is real 19 times in 20; from the athlete's spread, or from the measurement alone. */
  readonly smallestOfOne: number;
  readonly smallestFrom: 'spread' | 'measurement';
  /** Reps besides the compared ones that the athlete's spread is known from (degrees of freedom), 0 when there are none. */
  readonly historyFreedom: number;
}

/**
 * Every compared measure that both blocks have, in the order of `COMPARED`. Blocks are reps of one athlete and one start; the
 * athlete's other reps of that start tell the usual spread.
 */
export function compareBlocks(log: AthleteLog, athleteId: string, start: StartId, before: readonly Rep[], after: readonly Rep[]): readonly ComparedMeasure[] {
  return COMPARED.filter((id) => applies(start, id)).flatMap((id): ComparedMeasure[] => {
    const unit = sharedUnit(before, after, id);
    if (unit === null) return [];
    const first = valuesIn(before, id, unit);
    const second = valuesIn(after, id, unit);
    const compared = new Set([...before, ...after].map((rep) => rep.id));
    const others = { ...log, reps: log.reps.filter((rep) => !compared.has(rep.id)) };
    const history = usualSpread(others, athleteId, start, id, unit, null);
    const found = difference(first, second, { fasterWhen: fasterWhen(id), ...(history === null ? {} : { history }) });
    if (found === null) return [];
    const spread = allSpread(history, first, second);
    const error = Math.sqrt([...first, ...second].reduce((sum, value) => sum + value.sd ** 2, 0) / (first.length + second.length));
    return [{
      id, unit, before: first, after: second,
      leftOut: before.length + after.length - first.length - second.length,
      difference: found,
      smallestOfOne: minimalDetectableChange95(spread === null ? error : Math.max(spread, error)),
      smallestFrom: spread === null ? 'measurement' : 'spread',
      historyFreedom: history?.degreesOfFreedom ?? 0,
    }];
  });
}

/** The measure that answers "is it faster?": the first of the coach's speed measures that both blocks have; null when there is none. */
export function headline(compared: readonly ComparedMeasure[], speedMeasures: readonly MeasureId[]): ComparedMeasure | null {
  for (const id of speedMeasures) {
    const found = compared.find((each) => each.id === id && fasterWhen(id) !== 'neither');
    if (found !== undefined) return found;
  }
  return null;
}

/** Measures that clearly say the opposite of the headline. */
export function contradicting(compared: readonly ComparedMeasure[], head: ComparedMeasure): readonly ComparedMeasure[] {
  const opposite = head.difference.verdict === 'faster' ? 'slower' : head.difference.verdict === 'slower' ? 'faster' : null;
  return opposite === null ? [] : compared.filter((each) => each.difference.verdict === opposite);
}

/** The unit in which most reps of both blocks carry a measure; null when one of the blocks has none in it. */
function sharedUnit(before: readonly Rep[], after: readonly Rep[], id: MeasureId): RepValue['unit'] | null {
  const units = (reps: readonly Rep[]) => reps.flatMap((rep) => repValueOf(rep.measures[id])?.unit ?? []);
  const [first, second] = [units(before), units(after)];
  const shared = [...new Set(first)].filter((unit) => second.includes(unit));
  const count = (unit: RepValue['unit']) => [...first, ...second].filter((each) => each === unit).length;
  return shared.toSorted((a, b) => count(b) - count(a))[0] ?? null;
}

function valuesIn(reps: readonly Rep[], id: MeasureId, unit: RepValue['unit']): readonly RepValue[] {
  return reps.flatMap((rep) => {
    const value = repValueOf(rep.measures[id]);
    return value === null || value.unit !== unit ? [] : [value];
  });
}

/** Spread of one rep out of the history and both blocks, pooled by their degrees of freedom; null when nothing tells it. */
function allSpread(history: { readonly sd: number; readonly degreesOfFreedom: number } | null, first: readonly RepValue[], second: readonly RepValue[]): number | null {
  const parts = [history, spreadOverSessions([first, second])].filter((part) => part !== null);
  const freedom = parts.reduce((sum, part) => sum + part.degreesOfFreedom, 0);
  return freedom === 0 ? null : Math.sqrt(parts.reduce((sum, part) => sum + part.degreesOfFreedom * part.sd ** 2, 0) / freedom);
}
