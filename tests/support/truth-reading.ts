import { usualLens } from '../../src/camera/index.ts';
import type { Cue, Finding, Verdict } from '../../src/checker/finding.ts';
import type { ClipInfo } from '../../src/clip/clip-info.ts';
import type { Moment, Moments } from '../../src/phases/moment.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX, type LandmarkName } from '../../src/pose/landmarks.ts';
import type { PoseTrack } from '../../src/pose/pose-track.ts';
import type { Analysis, Overrides, Reading } from '../../src/reading/reading.ts';
import type { Measure, MeasureId, MeasureUnit, Measures } from '../../src/shapes/measure.ts';
import type { StartId } from '../../src/starts/start.ts';

/** The parts of a truth file that the views' tests read. */
export interface Truth {
  readonly fps: number;
  readonly size: readonly [number, number];
  readonly start: StartId;
  readonly lead: 'L' | 'R';
  readonly direction: 'left-to-right' | 'right-to-left';
  readonly person: { readonly leg_m: number };
  readonly camera: { readonly metres_per_pixel: number };
  readonly events: Readonly<Record<'first_movement' | 'launch' | 'lunge_contact' | 'hand1', { readonly s: number }>>;
  readonly measures: {
    readonly passe: { readonly s: number; readonly knee_2d_deg: number; readonly thigh_from_vertical_deg: number };
    readonly stance: { readonly front_knee_deg: number; readonly back_knee_2d_deg: number; readonly ankle_spread_leg: number; readonly trunk_2d_deg: number } | null;
    readonly lunge: { readonly length_leg: number; readonly front_knee_2d_deg: number; readonly trunk_2d_deg: number };
    readonly launch: { readonly trunk_2d_deg: number; readonly push_knee_2d_deg: number };
    /** Landings before the lunge, in order; the first two of a two-step run are its steps. */
    readonly steps: readonly { readonly foot: 'L' | 'R'; readonly s: number }[];
  };
  readonly frames: readonly { readonly t: number; readonly kp2d: Readonly<Record<string, readonly [number, number, number]>> }[];
}

const NAMES: Readonly<Record<string, LandmarkName>> = {
  nose: 'nose', eyeL: 'leftEye', eyeR: 'rightEye', earL: 'leftEar', earR: 'rightEar',
  shoulderL: 'leftShoulder', shoulderR: 'rightShoulder', elbowL: 'leftElbow', elbowR: 'rightElbow',
  wristL: 'leftWrist', wristR: 'rightWrist', fingertipL: 'leftIndex', fingertipR: 'rightIndex',
  hipL: 'leftHip', hipR: 'rightHip', kneeL: 'leftKnee', kneeR: 'rightKnee', ankleL: 'leftAnkle', ankleR: 'rightAnkle',
  heelL: 'leftHeel', heelR: 'rightHeel', toeL: 'leftFootIndex', toeR: 'rightFootIndex',
};

/** The truth's own joint centres as a track: exact positions, score 1. */
export function truthTrack(truth: Truth): PoseTrack {
  const count = truth.frames.length;
  const xy = new Float32Array(count * LANDMARK_COUNT * 2).fill(Number.NaN);
  const score = new Float32Array(count * LANDMARK_COUNT);
  truth.frames.forEach((frame, index) => {
    for (const [name, [x, y]] of Object.entries(frame.kp2d)) {
      const landmark = NAMES[name];
      if (landmark === undefined) continue;
      const at = index * LANDMARK_COUNT + LANDMARK_INDEX[landmark];
      xy[at * 2] = x;
      xy[at * 2 + 1] = y;
      score[at] = 1;
    }
  });
  return {
    times: Float64Array.from(truth.frames, (frame) => frame.t),
    widthPx: truth.size[0],
    heightPx: truth.size[1],
    xy,
    score,
    sd: new Float32Array(count * LANDMARK_COUNT).fill(Number.NaN),
    model: 'truth of the renderer',
    backend: 'none',
  };
}

/** An analysis that holds the truth's track. */
export function truthAnalysis(truth: Truth, fileName: string): Analysis {
  const clip: ClipInfo = {
    fileName, sizeBytes: 166_443, container: 'MP4', codec: 'avc',
    widthPx: truth.size[0], heightPx: truth.size[1], rotationDeg: 0,
    durationS: truth.frames.length / truth.fps,
    fps: { min: truth.fps, median: truth.fps, max: truth.fps },
    frameCount: truth.frames.length, isHdr: false, timeBase: { kind: 'assumed' },
  };
  return {
    clip,
    track: truthTrack(truth),
    people: [],
    part: { fromS: 0, toS: clip.durationS, proposed: true },
    stoppedAtS: null,
    quality: { athleteHeightPx: null, brightness: null, sharpness: null },
    profile: { openMs: 0, prepareMs: 0, findMs: 0, decodeMs: 0, copyMs: 0, inferMs: 0, qualityMs: 0, totalMs: 0, frames: clip.frameCount, workers: 1 },
    engineVersion: 'truth',
  };
}

const BANDS: Readonly<Partial<Record<MeasureId, readonly [number, number, number]>>> = {
  'set.backKnee': [120, 140, 10], 'set.frontKnee': [85, 115, 10], 'set.lungeRatio': [0.9, 1.1, 0.1], 'set.trunkLean': [30, 50, 10],
  'passe.knee': [45, 65, 10], 'passe.thigh': [-10, 10, 10], 'launch.trunkLean': [35, 55, 10], 'launch.pushKnee': [160, 180, 10],
  'plant.lungeRatio': [1.1, 1.4, 0.1], 'plant.trunkLean': [10, 30, 10], 'plant.frontKnee': [115, 145, 10],
};

function verdictOn(value: number, ci: readonly [number, number], [lo, hi, soft]: readonly [number, number, number]): Verdict {
  if (ci[0] >= lo && ci[1] <= hi) return 'in-band';
  if ((ci[0] < lo && ci[1] > lo) || (ci[0] < hi && ci[1] > hi)) return 'too-close';
  return value >= lo - soft && value <= hi + soft ? 'near' : 'out';
}

/** A reading made of the truth's measures, for developing and testing views apart from the engine. */
export function truthReading(analysis: Analysis, truth: Truth, overrides: Overrides = {}): Reading {
  const { events, measures: m, person } = truth;
  const moment = (t: number, id: keyof NonNullable<Overrides['moments']>): Moment => {
    const placed = overrides.moments?.[id];
    return { found: true, t: placed ?? t, sd: 0.006, source: placed === undefined ? 'detected' : 'user' };
  };
  const moments: Moments = {
    set: moment(0.45, 'set'),
    firstMove: moment(events.first_movement.s, 'firstMove'),
    launch: moment(events.launch.s, 'launch'),
    passe: moment(m.passe.s, 'passe'),
    plant: moment(events.lunge_contact.s, 'plant'),
    hands: moment(events.hand1.s, 'hands'),
  };
  const at = (id: keyof Moments) => {
    const one = moments[id];
    return one.found ? one.t : null;
  };
  const make = (value: number, unit: MeasureUnit, half: number, id: keyof Moments): Measure => {
    const t = at(id);
    return {
      measured: true, value, unit, ci95: [value - half, value + half], t,
      frame: t === null ? null : Math.round(t * truth.fps), source: moments[id].found ? moments[id].source : 'detected',
    };
  };
  const isTimed = overrides.timeBase !== undefined;
  const measures: Measures = {
    ...(m.stance === null ? {} : {
      'set.backKnee': make(m.stance.back_knee_2d_deg, 'deg', 4, 'set'),
      'set.frontKnee': make(m.stance.front_knee_deg, 'deg', 4, 'set'),
      'set.lungeRatio': make(m.stance.ankle_spread_leg, 'leg', 0.03, 'set'),
      'set.trunkLean': make(m.stance.trunk_2d_deg, 'deg', 4, 'set'),
    }),
    'passe.knee': make(m.passe.knee_2d_deg, 'deg', 4, 'passe'),
    'passe.thigh': make(m.passe.thigh_from_vertical_deg - 90, 'deg', 4, 'passe'),
    'launch.trunkLean': make(m.launch.trunk_2d_deg, 'deg', 4, 'launch'),
    'launch.pushKnee': make(m.launch.push_knee_2d_deg, 'deg', 4, 'launch'),
    'launch.hipSpeed': { measured: false, why: 'time-base-unknown' },
    'plant.lungeRatio': make(m.lunge.length_leg, 'leg', 0.03, 'plant'),
    'plant.trunkLean': make(m.lunge.trunk_2d_deg, 'deg', 4, 'plant'),
    'plant.frontKnee': make(m.lunge.front_knee_2d_deg, 'deg', 4, 'plant'),
    'time.toHands': isTimed
      ? make((at('hands') ?? 0) - (at('firstMove') ?? 0), 's', 0.02, 'hands')
      : { measured: false, why: 'time-base-unknown' },
    'mark.toHands': overrides.heightM === undefined
      ? { measured: false, why: 'no-scale' }
      : make(1.95, 'm', 0.04, 'hands'),
  };
  const findings: Finding[] = (Object.entries(measures) as [MeasureId, Measure][]).flatMap(([id, measure]): Finding[] => {
    const band = BANDS[id];
    if (band === undefined) return [];
    if (!measure.measured) {
      return [{ measure: id, verdict: 'not-measured', side: null, value: null, ci95: null, band: [band[0], band[1]], why: measure.why, weight: 0 }];
    }
    const verdict = verdictOn(measure.value, measure.ci95, band);
    const side = measure.value < band[0] ? 'below' : measure.value > band[1] ? 'above' : null;
    const away = Math.max(band[0] - measure.value, measure.value - band[1], 0) / band[2];
    return [{ measure: id, verdict, side, value: measure.value, ci95: measure.ci95, band: [band[0], band[1]], why: null, weight: away }];
  });
  const cues: Cue[] = findings
    .filter((finding) => finding.verdict === 'out' && finding.side !== null)
    .sort((a, b) => b.weight - a.weight)
    .map((finding) => ({
      measure: finding.measure,
      side: finding.side ?? 'below',
      text: `Words for ${finding.measure} ${finding.side ?? ''}.`,
      figure: `${Math.round(finding.value ?? 0)}°, aim ${finding.band[0]}–${finding.band[1]}°`,
    }));
  const legLengthPx = person.leg_m / truth.camera.metres_per_pixel;
  return {
    start: overrides.start === undefined ? { value: truth.start, source: 'detected', confidence: 0.93 } : { value: overrides.start, source: 'user', confidence: 1 },
    lead: overrides.lead === undefined ? { value: truth.lead === 'L' ? 'left' : 'right', source: 'detected', confidence: 0.98 } : { value: overrides.lead, source: 'user', confidence: 1 },
    direction: overrides.direction === undefined ? { value: truth.direction, source: 'detected', confidence: 0.99 } : { value: overrides.direction, source: 'user', confidence: 1 },
    camera: { yawDeg: 0, sdDeg: 1, rollDeg: 0, rollSdDeg: 1, tiltDeg: 0, tiltSdDeg: 1, lens: usualLens(...truth.size), source: 'body', warning: 'none', seen: null },
    lengthsM: {},
    timeBase: overrides.timeBase ?? { kind: 'assumed' },
    timeBasis: overrides.timeBase === undefined ? 'none' : 'stated',
    fall: null,
    legLengthPx,
    metresPerPixel: overrides.heightM === undefined ? null : truth.camera.metres_per_pixel,
    moments,
    steps: [],
    measures,
    findings,
    cues,
    track: analysis.track,
    floorYPx: 585,
  };
}
