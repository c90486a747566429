import { angleBetweenDeg, interiorAngleDeg, leanFromVerticalDeg, thighElevationDeg } from '../geometry/index.ts';
import type { MomentId } from '../phases/moment.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX, type LandmarkName } from '../pose/landmarks.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import type { Reading } from '../reading/reading.ts';
import type { Measure, MeasureId } from '../shapes/measure.ts';
import { otherSide, type Side } from '../starts/start.ts';

/** A point of the picture in display pixels, y down. */
export interface ScenePoint {
  readonly x: number;
  readonly y: number;
}

/** One bone of the body line. */
export interface Bone {
  readonly from: ScenePoint;
  readonly to: ScenePoint;
  readonly part: 'lead' | 'other' | 'trunk' | 'arm';
}

/** An angle between two arms at a point, with the number to write beside it. */
export interface Arc {
  readonly at: ScenePoint;
  readonly a: ScenePoint;
  readonly b: ScenePoint;
  readonly deg: number;
  /** True when the second arm is only the level, not a limb. */
  readonly isAgainstLevel: boolean;
  readonly measure: MeasureId;
}

/** The trunk against the vertical through the hips. */
export interface Lean {
  readonly hips: ScenePoint;
  readonly shoulders: ScenePoint;
  /** Degrees from vertical, positive toward travel. */
  readonly deg: number;
  readonly measure: MeasureId;
}

/** A length along the floor in leg lengths. */
export interface Span {
  readonly fromX: number;
  readonly toX: number;
  readonly y: number;
  readonly legs: number;
  readonly measure: MeasureId;
}

/** Everything drawn over one frame, in display pixels. */
export interface Scene {
  readonly bones: readonly Bone[];
  readonly joints: readonly ScenePoint[];
  readonly arcs: readonly Arc[];
  readonly leans: readonly Lean[];
  readonly spans: readonly Span[];
  /** Leg length of the athlete in pixels: the yardstick for line widths. */
  readonly legLengthPx: number;
}

/** Index of the track's frame that is shown at clip second t; null when the track has no frame within one spacing. */
export function frameShownAt(track: PoseTrack, t: number): number | null {
  const { times } = track;
  const count = times.length;
  if (count === 0) return null;
  let low = 0;
  let high = count - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((times[middle] ?? 0) < t) low = middle + 1;
    else high = middle;
  }
  const before = times[low - 1];
  const after = times[low] ?? 0;
  const frame = before !== undefined && t - before < after - t ? low - 1 : low;
  const spacing = count > 1 ? ((times[count - 1] ?? 0) - (times[0] ?? 0)) / (count - 1) : 1 / 30;
  return Math.abs((times[frame] ?? 0) - t) <= spacing ? frame : null;
}

/** Score under which a landmark is not drawn; chosen: the overlay never shows a joint that the model barely believes in. */
const DRAWN_SCORE = 0.3;

type Joints = (name: LandmarkName) => ScenePoint | null;

function jointsOf(track: PoseTrack, frame: number): Joints {
  return (name) => {
    const at = frame * LANDMARK_COUNT + LANDMARK_INDEX[name];
    const x = track.xy[at * 2];
    const y = track.xy[at * 2 + 1];
    const score = track.score[at];
    if (x === undefined || y === undefined || score === undefined) return null;
    if (!Number.isFinite(x) || !Number.isFinite(y) || score < DRAWN_SCORE) return null;
    return { x, y };
  };
}

function between(a: ScenePoint | null, b: ScenePoint | null): ScenePoint | null {
  if (a === null) return b;
  if (b === null) return a;
  return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
}

function sided(side: Side, joint: 'Shoulder' | 'Elbow' | 'Wrist' | 'Hip' | 'Knee' | 'Ankle' | 'Heel' | 'FootIndex'): LandmarkName {
  return `${side}${joint}`;
}

function bonesOf(joint: Joints, lead: Side): Bone[] {
  const bones: Bone[] = [];
  const add = (from: ScenePoint | null, to: ScenePoint | null, part: Bone['part']) => {
    if (from !== null && to !== null) bones.push({ from, to, part });
  };
  for (const side of [otherSide(lead), lead]) {
    const part = side === lead ? 'lead' : 'other';
    add(joint(sided(side, 'Shoulder')), joint(sided(side, 'Elbow')), 'arm');
    add(joint(sided(side, 'Elbow')), joint(sided(side, 'Wrist')), 'arm');
    add(joint(sided(side, 'Hip')), joint(sided(side, 'Knee')), part);
    add(joint(sided(side, 'Knee')), joint(sided(side, 'Ankle')), part);
    add(joint(sided(side, 'Ankle')), joint(sided(side, 'Heel')), part);
    add(joint(sided(side, 'Heel')), joint(sided(side, 'FootIndex')), part);
  }
  add(between(joint('leftHip'), joint('rightHip')), between(joint('leftShoulder'), joint('rightShoulder')), 'trunk');
  return bones;
}

/** What is drawn for a measure: which joint, and between what. */
type Drawing =
  | { readonly kind: 'knee'; readonly leg: 'lead' | 'other' }
  | { readonly kind: 'thigh' }
  | { readonly kind: 'split' }
  | { readonly kind: 'arms' }
  | { readonly kind: 'lean' }
  | { readonly kind: 'span' };

const DRAWINGS: Readonly<Partial<Record<MeasureId, Drawing>>> = {
  'set.backKnee': { kind: 'knee', leg: 'lead' },
  'set.frontKnee': { kind: 'knee', leg: 'other' },
  'set.lungeRatio': { kind: 'span' },
  'set.trunkLean': { kind: 'lean' },
  'set.armsBehind': { kind: 'arms' },
  'set.passeKnee': { kind: 'knee', leg: 'lead' },
  'set.passeThigh': { kind: 'thigh' },
  'passe.knee': { kind: 'knee', leg: 'lead' },
  'passe.thigh': { kind: 'thigh' },
  'launch.trunkLean': { kind: 'lean' },
  'launch.pushKnee': { kind: 'knee', leg: 'other' },
  'plant.lungeRatio': { kind: 'span' },
  'plant.trunkLean': { kind: 'lean' },
  'plant.frontKnee': { kind: 'knee', leg: 'lead' },
  'kick.split': { kind: 'split' },
  'kick.rearKnee': { kind: 'knee', leg: 'other' },
};

const GROUPS: Readonly<Record<MomentId, string>> = {
  set: 'set.', firstMove: 'set.', launch: 'launch.', passe: 'passe.', plant: 'plant.', hands: 'kick.',
};

/**
 * The scene over the frame shown at clip second t: the body line, and the angles and lengths that belong to the given
 * moment. At the moment itself they carry the measure's own number, elsewhere the angle of the frame on screen. Without a
 * moment only the body line is given. Null where the athlete was not found.
 */
export function buildScene(reading: Reading, t: number, moment: MomentId | null): Scene | null {
  const { track } = reading;
  const frame = frameShownAt(track, t);
  if (frame === null) return null;
  const joint = jointsOf(track, frame);
  const lead = reading.lead.value;
  const bones = bonesOf(joint, lead);
  if (bones.length === 0) return null;

  const arcs: Arc[] = [];
  const leans: Lean[] = [];
  const spans: Span[] = [];
  const direction = reading.direction.value;
  const travel = direction === 'left-to-right' ? 1 : -1;
  const spacing = track.times.length > 1 ? (track.times[1] ?? 0) - (track.times[0] ?? 0) : 0;
  const valueAt = (measure: Measure, live: number | null): number | null =>
    measure.measured && measure.t !== null && Math.abs(measure.t - t) <= spacing ? measure.value : live;
  const arc = (at: ScenePoint | null, a: ScenePoint | null, b: ScenePoint | null, deg: number | null, measure: MeasureId) => {
    if (at !== null && a !== null && b !== null && deg !== null) arcs.push({ at, a, b, deg, isAgainstLevel: measure.endsWith('Thigh') || measure.endsWith('.thigh'), measure });
  };

  for (const [id, drawing] of Object.entries(DRAWINGS) as [MeasureId, Drawing][]) {
    if (moment === null || !id.startsWith(GROUPS[moment])) continue;
    const measure = reading.measures[id];
    if (measure?.measured !== true) continue;
    switch (drawing.kind) {
      case 'knee': {
        const side = drawing.leg === 'lead' ? lead : otherSide(lead);
        const knee = joint(sided(side, 'Knee'));
        const hip = joint(sided(side, 'Hip'));
        const ankle = joint(sided(side, 'Ankle'));
        const live = knee && hip && ankle && interiorAngleDeg(hip, knee, ankle);
        arc(knee, hip, ankle, valueAt(measure, live), id);
        break;
      }
      case 'thigh': {
        const hip = joint(sided(lead, 'Hip'));
        const knee = joint(sided(lead, 'Knee'));
        const ahead = hip && { x: hip.x + travel * reading.legLengthPx * 0.5, y: hip.y };
        const live = hip && knee && thighElevationDeg(hip, knee, direction);
        arc(hip, knee, ahead, valueAt(measure, live), id);
        break;
      }
      case 'split': {
        const hips = between(joint('leftHip'), joint('rightHip'));
        const left = joint('leftKnee');
        const right = joint('rightKnee');
        const leftHip = joint('leftHip');
        const rightHip = joint('rightHip');
        const live = left && right && leftHip && rightHip && angleBetweenDeg(leftHip, left, rightHip, right);
        arc(hips, left, right, valueAt(measure, live), id);
        break;
      }
      case 'arms': {
        const shoulders = between(joint('leftShoulder'), joint('rightShoulder'));
        const hips = between(joint('leftHip'), joint('rightHip'));
        const elbows = between(joint('leftElbow'), joint('rightElbow'));
        const live = shoulders && hips && elbows && interiorAngleDeg(hips, shoulders, elbows);
        arc(shoulders, hips, elbows, valueAt(measure, live), id);
        break;
      }
      case 'lean': {
        const hips = between(joint('leftHip'), joint('rightHip'));
        const shoulders = between(joint('leftShoulder'), joint('rightShoulder'));
        const deg = valueAt(measure, hips && shoulders && leanFromVerticalDeg(hips, shoulders, direction));
        if (hips && shoulders && deg !== null) leans.push({ hips, shoulders, deg, measure: id });
        break;
      }
      case 'span': {
        const a = joint('leftAnkle');
        const b = joint('rightAnkle');
        if (!a || !b) break;
        const legs = valueAt(measure, Math.abs(a.x - b.x) / reading.legLengthPx) ?? 0;
        spans.push({ fromX: a.x, toX: b.x, y: reading.floorYPx, legs, measure: id });
        break;
      }
    }
  }
  const joints = (['leftKnee', 'rightKnee', 'leftHip', 'rightHip', 'leftAnkle', 'rightAnkle', 'leftShoulder', 'rightShoulder'] as const)
    .map((name) => joint(name))
    .filter((point) => point !== null);
  return { bones, joints, arcs, leans, spans, legLengthPx: reading.legLengthPx };
}

/** The scene with the marks of one measure only; the body line stays. */
export function onlyMeasure(scene: Scene, measure: MeasureId): Scene {
  const isIt = (mark: { readonly measure: MeasureId }) => mark.measure === measure;
  return { ...scene, arcs: scene.arcs.filter(isIt), leans: scene.leans.filter(isIt), spans: scene.spans.filter(isIt) };
}
