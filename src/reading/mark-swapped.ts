import type { Moments } from '../phases/moment.ts';
import type { LimbPart } from '../pose/exchange-sides.ts';
import { isWithin, type HandSwap } from '../pose/swap-by-hand.ts';
import type { Measure, MeasureId, Measures } from '../shapes/measure.ts';

/** Whose left and right a measure rests on: the arms, neither, else the legs. */
const PART_OF: Readonly<Partial<Record<MeasureId, LimbPart | null>>> = {
  'set.armsBehind': 'arms', 'set.trunkLean': null, 'launch.trunkLean': null, 'plant.trunkLean': null, 'launch.hipSpeed': null,
};

/** The measures that rest on limbs which a person told apart, marked as the user's: those read within the stretch, and those that span moments of which one lies in it. */
export function markSwapped(measures: Measures, moments: Moments, swaps: readonly HandSwap[]): Measures {
  if (swaps.length === 0) return measures;
  const found = Object.values(moments).flatMap((moment) => (moment.found ? [moment.t] : []));
  const isMarked = (id: MeasureId, { t }: Extract<Measure, { measured: true }>): boolean => {
    const part = PART_OF[id] === undefined ? 'legs' : PART_OF[id];
    return swaps.some((swap) => swap.part === part && (t === null ? found : [t]).some((at) => isWithin(swap, at)));
  };
  return Object.fromEntries((Object.entries(measures) as [MeasureId, Measure][]).map(([id, measure]) =>
    [id, measure.measured && isMarked(id, measure) ? { ...measure, source: 'user' } : measure]));
}
