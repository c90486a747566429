import { degreesOf, radiansOf } from '../units/degrees.ts';
import type { CameraPose } from './camera-pose.ts';
import type { Estimate } from './growth-cue.ts';
import type { Lens } from './lens.ts';
import type { OffSide } from './off-side.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** On what the camera's angles rest: the athlete's body, two marks on the floor, a mat's corners, or nothing but habit. */
export type CameraSource = 'body' | 'marks' | 'mat' | 'unknown';

/** What is said about the camera: nothing; turned 10° and more; lengths and speeds refused; angles refused too. */
export type CameraWarning = 'none' | 'off-side' | 'lengths-refused' | 'all-refused';

/** How the camera stood, with what is unsure about it. */
export interface CameraView {
  /** 0 looks straight across the run; positive when the right side of the picture lies farther away. */
  readonly yawDeg: number;
  readonly sdDeg: number;
  /** Clockwise as seen: the floor drops toward the right. */
  readonly rollDeg: number;
  readonly rollSdDeg: number;
  /** Looking down positive; 0 where nothing tells. */
  readonly tiltDeg: number;
  readonly tiltSdDeg: number;
  readonly lens: Lens;
  /** What body and mat say, not weighed against habit; null when neither can tell. Warnings rest on it. */
  readonly seen: OffSide | null;
  readonly source: CameraSource;
  readonly warning: CameraWarning;
}

/** People who mean to film side-on stand this far off, degrees, one standard deviation. Chosen, no source. */
const AIM_SD_DEG = 6;
/** Share of the angle seen from which on habit gives way. Chosen: from 10° on. */
const HABIT_GIVES_WAY = 0.6;
/** Phones held or propped level by eye are off by this, degrees, one standard deviation. Chosen, no source. */
const LEVEL_SD_DEG = 1.5;
/** Cameras held at hip height look up or down by this, degrees, one standard deviation. Chosen, no source. */
const TILT_SD_DEG = 4;
/** Limits of TOLERANCES.md (geometry CG-1 to CG-3): warn from 10°; lengths and speeds end at 20°, all angles at 30°. */
const WARN_FROM_DEG = 10;
const LENGTHS_UNTIL_DEG = 20;
const ANGLES_UNTIL_DEG = 30;
/** One-sided 90 %. */
const Z90 = 1.2816;
/** A normal deviate exceeds this with a chance of one in three. */
const Z_ONE_IN_THREE = 0.4307;

/** What was found about the camera. */
export interface CameraFacts {
  readonly lens: Lens;
  /** What the body says; null when it cannot tell. */
  readonly body: OffSide | null;
  /** Slope of the floor line in the picture; null when unknown. */
  readonly floorLine: Estimate | null;
  /** Whether the floor line comes from marks that the user tapped. */
  readonly isMarked: boolean;
  /** How far the camera looks down by what the body says, degrees; null when it cannot tell. */
  readonly tilt: Estimate | null;
  /** Tangent of the angle below the camera's axis at which the floor under the athlete lies: (floor row − middle row) / focal length. */
  readonly floorBelow: number;
  /** What a mat's corners say beside that; `lens` then is what is believed of the lens already. */
  readonly mat: { readonly yaw: Estimate; readonly tilt: Estimate } | null;
}

/** The camera's view out of everything known about it. */
export function cameraView(facts: CameraFacts): CameraView {
  const seen = weighed(facts.body && { value: facts.body.yawDeg, sd: facts.body.sdDeg }, facts.mat && facts.mat.yaw);
  // A camera that is surely far off was not aimed by habit: habit then pulls less.
  const yaw = believed(seen, Math.max(AIM_SD_DEG, HABIT_GIVES_WAY * Math.abs(seen?.value ?? 0)));
  const tilt = believed(weighed(facts.tilt, facts.mat && facts.mat.tilt), TILT_SD_DEG);
  const roll = rollOf(facts, yaw, tilt);
  return {
    yawDeg: yaw.value,
    sdDeg: yaw.sd,
    rollDeg: roll.value,
    rollSdDeg: roll.sd,
    tiltDeg: tilt.value,
    tiltSdDeg: tilt.sd,
    lens: facts.lens,
    seen: seen && { yawDeg: seen.value, sdDeg: seen.sd },
    source: facts.mat !== null ? 'mat' : facts.isMarked ? 'marks' : facts.body === null ? 'unknown' : 'body',
    warning: seen === null ? 'none' : warningOf(seen.value, seen.sd),
  };
}

/** The pose to undo, with angles moved by some of their uncertainty. */
export function poseOf(view: CameraView, widthPx: number, heightPx: number, moved: { readonly yawDeg?: number; readonly rollDeg?: number; readonly tiltDeg?: number } = {}): CameraPose {
  return {
    yawDeg: view.yawDeg + (moved.yawDeg ?? 0),
    rollDeg: view.rollDeg + (moved.rollDeg ?? 0),
    tiltDeg: view.tiltDeg + (moved.tiltDeg ?? 0),
    focalPx: view.lens.focalPx,
    widthPx,
    heightPx,
  };
}

/** A camera off side-on makes the floor line slope by itself: tan = −tan ψ · (height / distance), the floor's place below the horizon. */
function rollOf(facts: CameraFacts, yaw: Estimate, tilt: Estimate): Estimate {
  if (facts.floorLine === null) return { value: 0, sd: LEVEL_SD_DEG };
  const below = Math.max(0, Math.tan(Math.atan(facts.floorBelow) + radiansOf(tilt.value)));
  const byYaw = degreesOf(Math.atan(-Math.tan(radiansOf(yaw.value)) * below));
  return believed({ value: facts.floorLine.value - byYaw, sd: Math.hypot(facts.floorLine.sd, yaw.sd * below) }, LEVEL_SD_DEG);
}

/** Independent pieces of evidence weighed by their sureness, null for one that cannot tell; null without any. */
function weighed(...all: readonly (Estimate | null)[]): Estimate | null {
  const pieces = all.filter((one) => one !== null);
  if (pieces.length === 0) return null;
  const weight = pieces.reduce((sum, { sd }) => sum + 1 / sd ** 2, 0);
  return { value: pieces.reduce((sum, { value, sd }) => sum + value / sd ** 2, 0) / weight, sd: 1 / Math.sqrt(weight) };
}

/** Evidence weighed against what is usual (0 ± habitSd). */
function believed(evidence: Estimate | null, habitSd: number): Estimate {
  if (evidence === null) return { value: 0, sd: habitSd };
  const weight = 1 / evidence.sd ** 2;
  const variance = 1 / (weight + 1 / habitSd ** 2);
  return { value: evidence.value * weight * variance, sd: Math.sqrt(variance) };
}

/**
 * Warnings rest on the evidence alone, not on habit. Warned from 10° on when side-on is unlikely (10 %). Refused when the
 * camera is surely (95 %) beyond 10° and beyond the limit with a chance of one in three: what cannot be known is not shown.
 */
function warningOf(yawDeg: number, sdDeg: number): CameraWarning {
  const seenDeg = Math.abs(yawDeg);
  const isSurelyOff = seenDeg - Z95 * sdDeg > WARN_FROM_DEG;
  if (isSurelyOff && seenDeg + Z_ONE_IN_THREE * sdDeg > ANGLES_UNTIL_DEG) return 'all-refused';
  if (isSurelyOff && seenDeg + Z_ONE_IN_THREE * sdDeg > LENGTHS_UNTIL_DEG) return 'lengths-refused';
  return seenDeg >= WARN_FROM_DEG && seenDeg > Z90 * sdDeg ? 'off-side' : 'none';
}
