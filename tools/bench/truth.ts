import { readFileSync } from 'node:fs';
import type { MomentId } from '../../src/phases/moment.ts';
import type { MeasureId, MeasureUnit } from '../../src/shapes/measure.ts';
import type { Direction, Side, StartId } from '../../src/starts/start.ts';

type Vector = readonly [number, number, number];

interface TruthFrame {
  readonly t: number;
  readonly kp3d: Readonly<Record<string, Vector>>;
  readonly angles: Readonly<Record<string, number>>;
}

interface TruthEvent {
  readonly s: number;
}

/** The parts of NAME.truth.json that the bench reads. */
interface TruthFile {
  readonly fps: number;
  /** Absent in a file as the truth studio writes it: then `entry` is the studio's own name of the start. */
  readonly start?: StartId;
  readonly entry: string;
  readonly lead: 'L' | 'R';
  readonly direction: Direction;
  readonly person: { readonly body: string; readonly height_m: number; readonly leg_m: number };
  readonly camera: { readonly yaw_deg: number };
  readonly conditions: { readonly light: string; readonly background: string; readonly blur_shutter: number; readonly extras: number };
  readonly events: {
    readonly first_movement: TruthEvent;
    readonly launch: TruthEvent;
    readonly lunge_contact: TruthEvent;
    readonly hand1: TruthEvent;
  };
  readonly measures: {
    readonly passe: { readonly s: number; readonly knee_deg: number; readonly thigh_from_vertical_deg: number };
    readonly passe_static: { readonly knee_deg: number; readonly thigh_from_vertical_deg: number } | null;
    readonly stance: { readonly back_leg: string | null; readonly front_knee_deg: number | null; readonly back_knee_deg: number | null; readonly ankle_spread_leg: number; readonly trunk_deg: number };
    readonly lunge: { readonly length_leg: number; readonly front_knee_deg: number; readonly trunk_deg: number };
    readonly launch: { readonly trunk_deg: number; readonly push_knee_deg: number };
    readonly hip_speed: { readonly at_launch_legs: number };
    readonly steps: readonly { readonly foot: 'L' | 'R'; readonly s: number; readonly length_leg: number }[];
    readonly flights: readonly { readonly start_s: number; readonly end_s: number }[];
  };
  readonly frames: readonly TruthFrame[];
}

/** The truth studio's names of the starts. */
const STUDIO_NAMES: Readonly<Record<string, StartId>> = {
  'two-step': 'two-step-run',
  'power-hurdle': 'power-hurdle',
  'sprint-lunge': 'sprint-lunge',
  'passe-hop': 'hop-from-passe',
  'passe-fall': 'tip-from-passe',
  'half-kneel': 'half-kneeling',
};

/** What is true of one clip, in the product's own terms. */
export interface Truth {
  readonly fps: number;
  readonly start: StartId;
  readonly lead: Side;
  readonly direction: Direction;
  readonly heightM: number;
  readonly moments: Readonly<Partial<Record<MomentId, number>>>;
  readonly measures: Readonly<Partial<Record<MeasureId, { readonly value: number; readonly unit: MeasureUnit }>>>;
  /** Groups for the tables. */
  readonly groups: { readonly start: string; readonly yaw: string; readonly fps: string; readonly light: string; readonly body: string };
}

/** Reads a truth file; conversions as its README states them. Lengths in leg lengths, angles in degrees in space. */
export function readTruth(path: string): Truth {
  const file = JSON.parse(readFileSync(path, 'utf8')) as TruthFile;
  const { events, measures: m } = file;
  const start = file.start ?? STUDIO_NAMES[file.entry];
  if (start === undefined) throw new Error(`${path} names no start that is known: "${file.entry}"`);
  const lead: Side = file.lead === 'L' ? 'left' : 'right';
  const leadLetter = file.lead;
  const otherLetter = leadLetter === 'L' ? 'R' : 'L';
  const deg = (value: number | null | undefined): { value: number; unit: MeasureUnit } | undefined =>
    value === null || value === undefined ? undefined : { value, unit: 'deg' };
  const measures: Partial<Record<MeasureId, { value: number; unit: MeasureUnit }>> = {};
  const put = (id: MeasureId, value: { value: number; unit: MeasureUnit } | undefined): void => {
    if (value !== undefined) measures[id] = value;
  };
  const low = start === 'sprint-lunge' || start === 'half-kneeling';
  if (low) put('set.frontKnee', deg(m.stance.front_knee_deg));
  if (start === 'sprint-lunge') {
    put('set.backKnee', deg(m.stance.back_knee_deg));
    put('set.lungeRatio', { value: m.stance.ankle_spread_leg, unit: 'leg' });
    put('set.trunkLean', deg(m.stance.trunk_deg));
  }
  if (start === 'hop-from-passe' || start === 'tip-from-passe') {
    put('set.passeKnee', deg(m.passe_static?.knee_deg));
    // The truth counts the thigh from straight down; above horizontal is that less a right angle.
    put('set.passeThigh', deg(m.passe_static === null ? null : m.passe_static.thigh_from_vertical_deg - 90));
  }
  put('passe.knee', deg(m.passe.knee_deg));
  put('passe.thigh', deg(m.passe.thigh_from_vertical_deg - 90));
  put('launch.trunkLean', deg(m.launch.trunk_deg));
  if (start !== 'tip-from-passe') put('launch.pushKnee', deg(m.launch.push_knee_deg));
  put('launch.hipSpeed', { value: m.hip_speed.at_launch_legs, unit: 'leg/s' });
  put('plant.lungeRatio', { value: m.lunge.length_leg, unit: 'leg' });
  put('plant.trunkLean', deg(m.lunge.trunk_deg));
  put('plant.frontKnee', deg(m.lunge.front_knee_deg));
  const air = m.flights.find((flight) => Math.abs(flight.start_s - events.launch.s) < 0.01);
  if (air !== undefined && ['two-step-run', 'power-hurdle', 'hop-from-passe'].includes(start)) {
    put('hurdle.flight', { value: air.end_s - air.start_s, unit: 's' });
  }
  put('time.toPlant', { value: events.lunge_contact.s - events.first_movement.s, unit: 's' });
  put('time.toHands', { value: events.hand1.s - events.first_movement.s, unit: 's' });
  const atHands = frameNear(file.frames, events.hand1.s);
  if (atHands !== undefined) {
    put('kick.split', deg(thighSplitDeg(atHands)));
    put('kick.rearKnee', deg(atHands.angles[`knee${otherLetter}`]));
  }
  put('kick.rate', { value: peakThighRate(file.frames, otherLetter, events.lunge_contact.s, events.hand1.s), unit: 'deg/s' });
  if (start === 'two-step-run') {
    const before = m.steps.filter((step) => step.s < events.launch.s);
    put('steps.count', { value: before.length, unit: 'count' });
    const [one, two] = before;
    if (one !== undefined) {
      put('steps.firstLeg', { value: one.foot === 'L' ? -1 : 1, unit: 'side' });
      put('steps.length[1]', { value: one.length_leg, unit: 'leg' });
      put('steps.time[1]', { value: one.s - events.first_movement.s, unit: 's' });
    }
    if (one !== undefined && two !== undefined) {
      put('steps.length[2]', { value: two.length_leg, unit: 'leg' });
      put('steps.time[2]', { value: two.s - one.s, unit: 's' });
    }
  }
  const yaw = Math.abs(file.camera.yaw_deg);
  return {
    fps: file.fps,
    start,
    lead,
    direction: file.direction,
    heightM: file.person.height_m,
    moments: {
      firstMove: events.first_movement.s,
      launch: events.launch.s,
      passe: m.passe.s,
      plant: events.lunge_contact.s,
      hands: events.hand1.s,
    },
    measures,
    groups: {
      start,
      yaw: yaw <= 2 ? 'side-on' : yaw <= 10 ? 'up to 10° off' : yaw <= 20 ? '10 to 20° off' : 'more than 20° off',
      fps: `${String(file.fps)} fps`,
      light: `${file.conditions.light} light, ${file.conditions.blur_shutter > 0 ? 'blurred' : 'no blur'}, ${file.conditions.background}${file.conditions.extras > 0 ? ', other people' : ''}`,
      body: file.person.body,
    },
  };
}

function frameNear(frames: readonly TruthFrame[], t: number): TruthFrame | undefined {
  return frames.reduce<TruthFrame | undefined>((best, frame) => (best === undefined || Math.abs(frame.t - t) < Math.abs(best.t - t) ? frame : best), undefined);
}

/** Angle between the thighs in space, degrees. */
function thighSplitDeg(frame: TruthFrame): number | undefined {
  const left = thigh(frame, 'L');
  const right = thigh(frame, 'R');
  if (left === undefined || right === undefined) return undefined;
  const dot = left[0] * right[0] + left[1] * right[1] + left[2] * right[2];
  return Math.acos(Math.min(1, Math.max(-1, dot / (Math.hypot(...left) * Math.hypot(...right))))) * (180 / Math.PI);
}

function thigh(frame: TruthFrame, side: 'L' | 'R'): Vector | undefined {
  const hip = frame.kp3d[`hip${side}`];
  const knee = frame.kp3d[`knee${side}`];
  return hip === undefined || knee === undefined ? undefined : [knee[0] - hip[0], knee[1] - hip[1], knee[2] - hip[2]];
}

/** Largest rate of turn of a thigh in the plane of travel between two times, degrees a second, by central differences of the truth's frames. */
function peakThighRate(frames: readonly TruthFrame[], side: 'L' | 'R', fromS: number, toS: number): number {
  let peak = 0;
  for (let i = 1; i + 1 < frames.length; i += 1) {
    const [a, b, c] = [frames[i - 1], frames[i], frames[i + 1]];
    if (a === undefined || b === undefined || c === undefined || b.t < fromS || b.t > toS) continue;
    const before = thigh(a, side);
    const after = thigh(c, side);
    if (before === undefined || after === undefined) continue;
    let turn = (Math.atan2(after[1], after[0]) - Math.atan2(before[1], before[0])) * (180 / Math.PI);
    turn = ((turn + 540) % 360) - 180;
    peak = Math.max(peak, Math.abs(turn) / (c.t - a.t));
  }
  return peak;
}
