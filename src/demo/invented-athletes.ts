import type { SurfaceId } from '../athletelog/index.ts';
import type { MeasureId } from '../shapes/measure.ts';
import type { Side, StartId } from '../starts/start.ts';

/** What an invented athlete is made of. Everything is chosen, nothing is measured. */
export interface InventedAthlete {
  readonly id: string;
  readonly name: string;
  readonly lead: Side;
  readonly usualStart: StartId;
  readonly drill: StartId;
  readonly groups: readonly string[];
  /** Standing height on the season's first and last day, metres. */
  readonly heightM: readonly [number, number];
  readonly pass: string;
  /** Length of the pass after the hands, metres, and its spread. */
  readonly passLengthM: number;
  readonly passLengthSdM: number;
  /** Hip speed at launch of the usual start at the season's first and last session, leg lengths a second. */
  readonly speed: readonly [number, number];
  /** Share of the speed lost from the first to the last rep of a session, 0 to 1. */
  readonly tires: number;
  /** Share of the mark by which it creeps from the first to the last rep of a session. */
  readonly creeps: number;
  /** Shapes away from the middle of their band, in half bands, at the first and the last session. */
  readonly habits: Readonly<Partial<Record<MeasureId, readonly [number, number]>>>;
}

/** The six athletes of the Brackwater Tumblers, an invented club. */
export const INVENTED_ATHLETES: readonly InventedAthlete[] = [
  {
    id: 'invented-mika', name: 'Mika', lead: 'left', usualStart: 'two-step-run', drill: 'sprint-lunge', groups: ['Tuesday'],
    heightM: [1.412, 1.436], pass: 'Round-off, two back handsprings', passLengthM: 4.6, passLengthSdM: 0.2,
    speed: [2.5, 3.05], tires: 0.02, creeps: 0.01, habits: { 'passe.knee': [3.2, 0.4], 'plant.lungeRatio': [-1.4, -0.2] },
  },
  {
    id: 'invented-juno', name: 'Juno', lead: 'right', usualStart: 'power-hurdle', drill: 'hop-from-passe', groups: ['Tuesday'],
    heightM: [1.318, 1.331], pass: 'Round-off, back handspring', passLengthM: 3.4, passLengthSdM: 0.2,
    speed: [2.9, 3.1], tires: 0.1, creeps: -0.05, habits: { 'launch.trunkLean': [-2.6, -2.2], 'passe.thigh': [-1.2, -1] },
  },
  {
    id: 'invented-tavi', name: 'Tavi', lead: 'left', usualStart: 'two-step-run', drill: 'half-kneeling', groups: ['Tuesday', 'Competition'],
    heightM: [1.594, 1.603], pass: 'Round-off, back handspring, layout', passLengthM: 6.1, passLengthSdM: 0.25,
    speed: [3.2, 3.3], tires: 0.03, creeps: 0.06, habits: { 'plant.frontKnee': [-2.4, -1.8] },
  },
  {
    id: 'invented-wren', name: 'Wren', lead: 'left', usualStart: 'power-hurdle', drill: 'tip-from-passe', groups: ['Beginners'],
    heightM: [1.246, 1.262], pass: 'Round-off', passLengthM: 1.6, passLengthSdM: 0.15,
    speed: [2.1, 2.6], tires: 0.02, creeps: 0.02, habits: { 'plant.lungeRatio': [-3, -1.2], 'kick.rearKnee': [-2.4, -1.5] },
  },
  {
    id: 'invented-pell', name: 'Pell', lead: 'right', usualStart: 'two-step-run', drill: 'power-hurdle', groups: ['Competition'],
    heightM: [1.672, 1.68], pass: 'Round-off, back handspring, tuck', passLengthM: 5.4, passLengthSdM: 0.3,
    speed: [3.4, 3.25], tires: 0.05, creeps: 0.01, habits: { 'launch.pushKnee': [-1.8, -2] },
  },
  {
    id: 'invented-ola', name: 'Ola', lead: 'left', usualStart: 'sprint-lunge', drill: 'tip-from-passe', groups: ['Beginners'],
    heightM: [1.36, 1.392], pass: 'Round-off, rebound', passLengthM: 2.2, passLengthSdM: 0.15,
    speed: [2.4, 2.7], tires: 0.02, creeps: 0, habits: { 'set.backKnee': [2.6, 0.2], 'set.armsBehind': [-1.6, -0.8] },
  },
];

/** Where the invented club trains. */
export const INVENTED_PLACE = 'Brackwater hall';

/** Surfaces of the invented hall; a tip is done on the wedge into the pit. */
export const INVENTED_SURFACES: Readonly<Record<StartId, readonly SurfaceId[]>> = {
  'two-step-run': ['sprung-floor'],
  'power-hurdle': ['sprung-floor'],
  'sprint-lunge': ['sprung-floor'],
  'hop-from-passe': ['sprung-floor'],
  'tip-from-passe': ['incline', 'pit'],
  'half-kneeling': ['sprung-floor'],
};
