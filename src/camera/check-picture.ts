import { farthestShiftPx } from '../clip/background-motion.ts';
import type { PictureQuality } from '../clip/picture-quality.ts';
import { MOMENT_IDS, type MomentId } from '../phases/moment.ts';
import { frameNear } from '../pose/frame-near.ts';
import { LANDMARK_INDEX, type LandmarkName } from '../pose/landmarks.ts';
import { landmarkAt, type PoseTrack } from '../pose/pose-track.ts';
import type { PersonSighting, Reading } from '../reading/reading.ts';
import { medianOf } from '../signal/spread.ts';
import type { CutPart, PictureNote, Severity } from './picture-note.ts';

/** What the check needs of an analysis. */
export interface CheckedPictures {
  readonly track: PoseTrack;
  readonly people: readonly PersonSighting[];
  readonly quality: PictureQuality;
  readonly clip: { readonly fps: { readonly median: number } };
}

/** The landmark model looks at 256 × 256 pixels, of which the body takes about four fifths: a smaller athlete is blown up. */
export const WANTED_HEIGHT_PX = 205;
/** Below this, two pixels turn a thigh (0.245 of height, Drillis & Contini 1966) by 4° and more. */
const LEAST_HEIGHT_PX = 120;
/**
 * Luma of a scene that is so many stops darker than one exposed for mid-grey (18 % of white, 0.46 in a picture with the
 * usual gamma of 2.2). Dim from two and a half stops on, dark from five and a half. Clips in normal light read 0.24 to
 * 0.52, dark clothes included; clips rendered in low light about 0.19.
 */
const stopsBelowMidGrey = (stops: number): number => 0.46 * 2 ** (-stops / 2.2);
export const DIM_BELOW = stopsBelowMidGrey(2.5);
const DARK_BELOW = stopsBelowMidGrey(5.5);
/** Chosen; the twelve crisp clips read 0.14 to 0.23. */
export const SOFT_BELOW = 0.08;
/** Share of the still athlete's sharpness left in the fastest quarter of frames. Chosen. */
export const BLURRED_BELOW = 0.6;
const SMEARED_BELOW = 0.4;
/** 50 to 60 pictures a second are few for fast movement, about 100 are often needed (Bartlett 2007, pp. 121, 128; FL-2). */
export const FEW_FRAMES_BELOW = 55;
const TOO_FEW_FRAMES_BELOW = 28;
/** Share of the athlete's box that another person covers. Chosen. */
const COVERED_FROM = 0.1;
const HIDDEN_FROM = 0.3;
/** Background shift that is mentioned, leg lengths. Chosen: half of the landmarks' own error; and where taking it out leaves doubts. */
export const SHAKE_FROM_LEG = 0.025;
const HEAVY_SHAKE_FROM_LEG = 0.5;
/** Degrees of sideways tip, and of looking down or up, that are mentioned when surely there. Chosen. */
const TIPPED_FROM_DEG = 3;

const PARTS: Readonly<Record<CutPart, readonly LandmarkName[]>> = {
  hands: ['leftWrist', 'rightWrist'],
  feet: ['leftAnkle', 'rightAnkle', 'leftHeel', 'rightHeel', 'leftFootIndex', 'rightFootIndex'],
  head: ['nose'],
};

/** Everything about a clip's pictures that makes its figures worse, worst first; empty when nothing does. */
export function checkPicture(analysis: CheckedPictures, reading: Reading): PictureNote[] {
  const notes = [
    ...sizeNote(analysis.quality.athleteHeightPx),
    ...lightNote(analysis.quality.brightness),
    ...sharpNote(analysis, reading),
    ...cropNote(analysis.track, reading),
    ...crossingNote(analysis.people, reading),
    ...frameNote(analysis.clip.fps.median * (reading.timeBase.kind === 'slowed' ? reading.timeBase.factor : 1)),
    ...shakeNote(analysis.quality, reading.legLengthPx),
    ...cameraNotes(reading),
  ];
  return notes.sort((a, b) => Number(b.severity === 'poor') - Number(a.severity === 'poor'));
}

/** Whether the athlete is big enough in the picture. */
export function sizeNote(heightPx: number | null): PictureNote[] {
  if (heightPx === null || heightPx >= WANTED_HEIGHT_PX) return [];
  return [{ kind: 'athlete-too-small', heightPx, wantedPx: WANTED_HEIGHT_PX, severity: heightPx < LEAST_HEIGHT_PX ? 'poor' : 'hint' }];
}

/** Whether there is enough light. */
export function lightNote(brightness: number | null): PictureNote[] {
  if (brightness === null || brightness >= DIM_BELOW) return [];
  return [{ kind: 'dim', brightness, severity: brightness < DARK_BELOW ? 'poor' : 'hint' }];
}

/** Whether there are enough pictures a second of real time. */
export function frameNote(fps: number): PictureNote[] {
  if (!(fps < FEW_FRAMES_BELOW)) return [];
  return [{ kind: 'few-frames', fps, severity: fps < TOO_FEW_FRAMES_BELOW ? 'poor' : 'hint' }];
}

function sharpNote({ track, quality }: CheckedPictures, { moments }: Reading): PictureNote[] {
  const blur = blurNote(sharpnessLeft(track, quality.sharpnessByFrame, moments.hands.found ? moments.hands.t : Infinity));
  return blur.length > 0 ? blur : softNote(quality.sharpness);
}

/** Whether moving fast costs too much sharpness. */
export function blurNote(shareLeft: number | null): PictureNote[] {
  if (shareLeft === null || shareLeft >= BLURRED_BELOW) return [];
  return [{ kind: 'blurred', shareLeft, severity: shareLeft < SMEARED_BELOW ? 'poor' : 'hint' }];
}

/** Whether anything around the athlete is crisp. */
export function softNote(sharpness: number | null): PictureNote[] {
  return sharpness === null || sharpness >= SOFT_BELOW ? [] : [{ kind: 'soft', sharpness, severity: 'hint' }];
}

/** Sharpness in the fastest quarter of the frames until clip second `until`, over that in the slowest quarter, 0 to 1; null when frames are few or their sharpness unknown. */
export function sharpnessLeft(track: PoseTrack, sharpness: Float32Array | undefined, until: number): number | null {
  if (sharpness === undefined || sharpness.length !== track.times.length) return null;
  const frames: { speed: number; sharpness: number }[] = [];
  for (let i = 1; i < track.times.length && track.times[i]! <= until; i++) {
    const speed = moved(track, i) / (track.times[i]! - track.times[i - 1]!);
    if (Number.isFinite(speed) && Number.isFinite(sharpness[i])) frames.push({ speed, sharpness: sharpness[i]! });
  }
  if (frames.length < 16) return null;
  frames.sort((a, b) => a.speed - b.speed);
  const quarter = Math.floor(frames.length / 4);
  const sharp = (part: typeof frames): number => medianOf(part.map((frame) => frame.sharpness));
  const still = sharp(frames.slice(0, quarter));
  return still > 0 ? Math.min(1, sharp(frames.slice(-quarter)) / still) : null;
}

/** Mean way of the landmarks since the frame before, pixels. */
function moved(track: PoseTrack, frame: number): number {
  const ways = Object.values(LANDMARK_INDEX).map((landmark) => {
    const a = landmarkAt(track, frame - 1, landmark);
    const b = landmarkAt(track, frame, landmark);
    return Math.hypot(b.x - a.x, b.y - a.y);
  }).filter(Number.isFinite);
  return ways.length === 0 ? NaN : ways.reduce((sum, way) => sum + way, 0) / ways.length;
}

function cropNote(track: PoseTrack, { moments }: Reading): PictureNote[] {
  const parts = new Set<CutPart>();
  const at = new Set<MomentId>();
  for (const id of MOMENT_IDS) {
    const moment = moments[id];
    if (!moment.found) continue;
    const frame = frameNear(track.times, moment.t);
    for (const part of partsOutside(track, frame)) {
      parts.add(part);
      at.add(id);
    }
  }
  return parts.size === 0 ? [] : [{ kind: 'cropped', parts: [...parts], moments: [...at], severity: 'poor' }];
}

/** Parts of the body of which a landmark lies outside the picture in a frame. */
export function partsOutside(track: PoseTrack, frame: number): CutPart[] {
  return (Object.keys(PARTS) as CutPart[]).filter((part) => PARTS[part].some((name) => {
    const { x, y } = landmarkAt(track, frame, LANDMARK_INDEX[name]);
    return x < 0 || y < 0 || x > track.widthPx || y > track.heightPx;
  }));
}

function crossingNote(people: readonly PersonSighting[], { moments }: Reading): PictureNote[] {
  const from = moments.firstMove.found ? moments.firstMove.t : -Infinity;
  const to = moments.hands.found ? moments.hands.t : Infinity;
  let worst = { share: 0, atS: 0 };
  for (const athlete of people.filter((one) => one.isAthlete)) {
    for (const other of people.filter((one) => !one.isAthlete && one.t === athlete.t)) {
      const share = covered(athlete.box, other.box);
      // Probes are sparse: one just before or after the start counts too.
      if (share > worst.share && athlete.t > from - 0.2 && athlete.t < to + 0.2) worst = { share, atS: athlete.t };
    }
  }
  return worst.share < COVERED_FROM ? [] : [{ kind: 'person-crossing', ...worst, severity: worst.share >= HIDDEN_FROM ? 'poor' : 'hint' }];
}

/** Share of box `a` that box `b` covers, 0 to 1. */
function covered(a: PersonSighting['box'], b: PersonSighting['box']): number {
  const wide = Math.min(a.x + a.width, b.x + b.width) - Math.max(a.x, b.x);
  const high = Math.min(a.y + a.height, b.y + b.height) - Math.max(a.y, b.y);
  return wide > 0 && high > 0 ? (wide * high) / (a.width * a.height) : 0;
}

/** Whether the phone moved enough to say so. */
export function shakeNote({ background }: Pick<PictureQuality, 'background'>, legPx: number): PictureNote[] {
  const removedPx = farthestShiftPx(background);
  if (removedPx === null) return [];
  const removedLeg = removedPx / legPx;
  if (!(removedLeg >= SHAKE_FROM_LEG)) return [];
  return [{ kind: 'camera-shake', removedPx, removedLeg, severity: removedLeg >= HEAVY_SHAKE_FROM_LEG ? 'poor' : 'hint' }];
}

function cameraNotes({ camera }: Reading): PictureNote[] {
  const notes: PictureNote[] = [];
  const severity: Severity = camera.warning === 'off-side' ? 'hint' : 'poor';
  const seen = camera.seen ?? camera;
  if (camera.warning !== 'none') notes.push({ kind: 'off-side', yawDeg: seen.yawDeg, sdDeg: seen.sdDeg, severity });
  if (Math.abs(camera.rollDeg) - camera.rollSdDeg > TIPPED_FROM_DEG) notes.push({ kind: 'tipped', rollDeg: camera.rollDeg, severity: 'hint' });
  if (Math.abs(camera.tiltDeg) - camera.tiltSdDeg > TIPPED_FROM_DEG) notes.push({ kind: 'looking-down', tiltDeg: camera.tiltDeg, sdDeg: camera.tiltSdDeg, severity: 'hint' });
  return notes;
}
