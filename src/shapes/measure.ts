import type { Source } from '../phases/moment.ts';
import type { Side } from '../starts/start.ts';
import type { WhyNot } from '../units/why-not.ts';

/** Ids of every measure; `steps.length[n]` and `steps.time[n]` stand for one id per step, n from 1. */
export const MEASURE_IDS = [
  'set.backKnee', 'set.frontKnee', 'set.lungeRatio', 'set.trunkLean', 'set.armsBehind',
  'set.passeKnee', 'set.passeThigh',
  'passe.knee', 'passe.thigh',
  'launch.trunkLean', 'launch.pushKnee', 'launch.hipSpeed',
  'hurdle.flight',
  'plant.lungeRatio', 'plant.trunkLean', 'plant.frontKnee',
  'kick.split', 'kick.rate', 'kick.rearKnee',
  'steps.count', 'steps.length[1]', 'steps.length[2]', 'steps.time[1]', 'steps.time[2]', 'steps.firstLeg',
  'time.toPlant', 'time.toHands',
  'mark.toHands',
] as const;

/** One measure's id. */
export type MeasureId = (typeof MEASURE_IDS)[number];

/** Unit of a measure: degrees, leg lengths, metres, seconds, speeds, angular rate, a count, or the athlete's side. */
export type MeasureUnit = 'deg' | 'leg' | 'm' | 's' | 'leg/s' | 'm/s' | 'deg/s' | 'count' | 'side';

/** A number with its 95 % interval, or the reason why it was not measured. */
export type Measure =
  | {
      readonly measured: true;
      /** In `unit`; for `side`, −1 is left and 1 is right. */
      readonly value: number;
      readonly unit: MeasureUnit;
      readonly ci95: readonly [number, number];
      /** Clip seconds at which it was read, null when it spans moments. */
      readonly t: number | null;
      /** Index of the nearest frame of the track, null when it spans moments. */
      readonly frame: number | null;
      readonly source: Source;
    }
  | { readonly measured: false; readonly why: WhyNot };

/** The measures that apply to one start, keyed by id. */
export type Measures = Readonly<Partial<Record<MeasureId, Measure>>>;

/** Reads a `side` measure's value as the athlete's side. */
export function sideOf(value: number): Side {
  return value < 0 ? 'left' : 'right';
}
