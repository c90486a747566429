import { poseOf } from '../camera/camera-view.ts';
import { marksOnMat, scaleByMarks, type FloorTaps } from '../camera/floor-scale.ts';
import { lensOf } from '../camera/lens.ts';
import { feetOnFloor, seeCamera } from '../camera/see-camera.ts';
import { check } from '../checker/check.ts';
import { cuesFor } from '../cues/index.ts';
import { legLengthFromHeightM } from '../geometry/index.ts';
import { fallCheck, type FallCheck } from '../phases/fall-check.ts';
import { findRep, type Rep } from '../phases/find-rep.ts';
import type { Moment, MomentId, Moments } from '../phases/moment.ts';
import { bodyTrack } from '../pose/body-track.ts';
import { cleanTrack, smoothTrack } from '../pose/clean-track.ts';
import { repairSwaps } from '../pose/repair-swaps.ts';
import { placeJoints, type PlacedJoint } from '../pose/place-joints.ts';
import { swapByHand, type HandSwap } from '../pose/swap-by-hand.ts';
import type { PoseTrack } from '../pose/pose-track.ts';
import { steadyTrack, type SteadyTrack } from '../pose/steady-track.ts';
import type { Measures } from '../shapes/measure.ts';
import { measureInCamera, squareRep, type SceneFacts } from '../shapes/measure-in-camera.ts';
import { lengthsInMetres } from '../shapes/lengths-in-metres.ts';
import { DEFAULT_PROFILE } from '../tolerances/index.ts';
import type { Profile } from '../tolerances/schema.ts';
import type { TimeBase } from '../clip/clip-info.ts';
import type { BackgroundMotion } from '../clip/picture-quality.ts';
import type { Point } from '../units/point.ts';
import type { Overrides, Reading } from './reading.ts';
import { markSwapped } from './mark-swapped.ts';
import { settleTimeBase } from './settle-time-base.ts';

/** Leg length as a share of height spreads this much between people, one relative standard deviation. From memory, not checked: 3 %. */
const LEG_SHARE_RELATIVE_SD = 0.03;

/** What a reading needs of a clip's analysis. */
export interface Readable {
  /** Raw track, no repair and no smoothing. */
  readonly track: PoseTrack;
  readonly clip: { readonly timeBase: TimeBase; readonly fps?: { readonly median: number }; readonly equivalentFocalMm?: number | null };
  /** How the background moved, where that was measured: it is taken out. */
  readonly quality?: { readonly background?: BackgroundMotion };
}

/**
 * Everything Lungeline says about one rep: pure, from the raw track, what the user stated, and the coach's tolerances.
 * Runs no model, so it is recomputed whenever an override changes.
 */
export function readClip({ track, clip, quality }: Readable, overrides: Overrides = {}, profile: Profile = DEFAULT_PROFILE): Reading {
  const swaps = overrides.swaps ?? [];
  const { clean, smooth, steady } = prepare(track, quality?.background, swaps);
  const joints = overrides.joints ?? [];
  const legM = overrides.heightM === undefined ? null : legLengthFromHeightM(overrides.heightM);
  const findAt = (pace: number): Rep =>
    findRep(inRealTime(clean, pace), { ...overrides, moments: timesDivided(overrides.moments, pace) }, legM);
  // Everything is found and measured in real seconds; clip seconds return at the end.
  const { rep: found, slowedBy } = repAtItsPace(findAt, overrides.timeBase ?? clip.timeBase, legM);
  const rep = withPlacedJoints(found, clean, joints.map((joint) => ({ ...joint, ...steady.steadied(joint, joint.t) })), slowedBy);
  const fall = shownSpeed(fallCheck(rep, legM), slowedBy);
  const { timeBase, basis } = settleTimeBase(overrides.timeBase, clip, fall);
  const camera = seeCamera(rep, track.widthPx, track.heightPx, lensOf(clip.equivalentFocalMm, track.widthPx, track.heightPx), overrides.floor);
  const scene: SceneFacts = {
    isTimeKnown: timeBase.kind !== 'assumed', widthPx: track.widthPx, heightPx: track.heightPx,
    scaleIn: scaleFrom(rep, overrides.floor, legM),
    slackPx: steady.farthestPx,
  };
  const moments = momentsInClipTime(rep.moments, slowedBy);
  const measures = markSwapped(inClipTime(measureInCamera(rep, camera, scene), slowedBy), moments, swaps);
  const square = squareRep(rep, poseOf(camera, track.widthPx, track.heightPx), scene);
  const toDisplay = rep.direction.value === 'right-to-left' ? -1 : 1;
  const stand = rep.contacts.findLast((contact) => contact.foot === rep.lead.value);
  const floor: Point = stand === undefined ? { x: track.widthPx / 2, y: rep.floorY } : { x: toDisplay * stand.ankleX, y: stand.floorY };
  const findings = check(rep.start.value, measures, profile, rep.lead.value);
  return {
    start: rep.start,
    lead: rep.lead,
    direction: rep.direction,
    timeBase,
    timeBasis: basis,
    fall,
    legLengthPx: rep.legPx,
    metresPerPixel: square.scale?.metresPerPixel ?? null,
    camera,
    lengthsM: lengthsInMetres(measures, square.rep.legPx, square.scale),
    moments,
    steps: rep.steps.map((step) => ({ ...step, t: step.t * slowedBy, sd: step.sd * slowedBy, xPx: steady.inPicture({ x: toDisplay * step.xPx, y: rep.floorY }, step.t * slowedBy).x })),
    measures,
    findings,
    cues: cuesFor(findings, rep.start.value, profile),
    track: joints.length === 0 ? smooth : placeJoints(smooth, joints).track,
    floorYPx: rep.moments.plant.found ? steady.inPicture(floor, rep.moments.plant.t * slowedBy).y : floor.y,
  };
}

/** Steadying, repair and smoothing depend on the raw track and on what was said of left and right alone: done once for these, however often the rest changes. */
interface Prepared {
  readonly steady: SteadyTrack;
  /** Repaired, camera movement taken out. */
  readonly clean: PoseTrack;
  /** Smoothed, in the picture's own pixels. */
  readonly smooth: PoseTrack;
}

const prepared = new WeakMap<PoseTrack, Prepared & { readonly swapped: string }>();

function prepare(track: PoseTrack, background: BackgroundMotion | undefined, swaps: readonly HandSwap[]): Prepared {
  const swapped = JSON.stringify(swaps);
  const known = prepared.get(track);
  if (known?.swapped === swapped) return known;
  const steady = steadyTrack(track, background);
  const clean = cleanTrack(swapByHand(repairSwaps(steady.track).track, swaps, steady.inPicture));
  const smooth = smoothTrack(clean);
  const fresh = { swapped, steady, clean, smooth: steady.asFilmed(smooth) };
  prepared.set(track, fresh);
  return fresh;
}

/** Joints placed by hand correct the figures of the picture they were placed on; they move no moment. */
function withPlacedJoints(rep: Rep, clean: PoseTrack, joints: readonly PlacedJoint[], slowedBy: number): Rep {
  if (joints.length === 0) return rep;
  const { track, isPlaced } = placeJoints(clean, joints);
  return { ...rep, body: bodyTrack(inRealTime(track, slowedBy), rep.direction.value, isPlaced) };
}

/** What the user tapped on the floor gives the scale; else the leg length in metres (from the athlete's height by body fractions: adults; a child's leg is better measured). */
function scaleFrom(rep: Rep, floor: FloorTaps | undefined, legM: number | null): SceneFacts['scaleIn'] {
  const marks = floor?.kind === 'mat' ? marksOnMat(floor, feetOnFloor(rep)) : floor ?? null;
  if (marks !== null) return (pose) => scaleByMarks(marks, pose);
  return (_, legPx) => (legM === null || !(legPx > 0) ? null : { metresPerPixel: legM / legPx, relativeSd: LEG_SHARE_RELATIVE_SD });
}

/** Slow motion that phones make, as shown at 30 frames a second of 60, 120 and 240 taken. */
const USUAL_PACES = [2, 4, 8] as const;
/** Real time is believed when the fall's interval holds 1 and ends below this, seen in the same clip. Chosen: half the mildest slow motion. */
const FITS_BELOW = 1.5;

/**
 * The rep found at the clip's pace. A pace that nobody states is tried out: the one at which the body falls as bodies do
 * wins. It serves to find the moments only; times and speeds stay unmeasured until the user states it.
 */
function repAtItsPace(findAt: (pace: number) => Rep, stated: TimeBase, legM: number | null): { rep: Rep; slowedBy: number } {
  if (stated.kind === 'slowed') return { rep: findAt(stated.factor), slowedBy: stated.factor };
  const rep = findAt(1);
  if (stated.kind === 'known' || fits(fallCheck(rep, legM))) return { rep, slowedBy: 1 };
  for (const pace of USUAL_PACES) {
    const slower = findAt(pace);
    if (slower.moments.hands.found && fits(fallCheck(slower, legM))) return { rep: slower, slowedBy: pace };
  }
  return { rep, slowedBy: 1 };
}

function fits(fall: FallCheck | null): boolean {
  return fall !== null && fall.ci95[0] < 1 && fall.ci95[1] > 1 && fall.ci95[1] < FITS_BELOW;
}

/** How slow the clip shows the fall, where the rep was found at another pace. */
function shownSpeed(fall: FallCheck | null, slowedBy: number): FallCheck | null {
  return fall && { slowedBy: fall.slowedBy * slowedBy, ci95: [fall.ci95[0] * slowedBy, fall.ci95[1] * slowedBy] };
}

function inRealTime(track: PoseTrack, slowedBy: number): PoseTrack {
  return slowedBy === 1 ? track : { ...track, times: track.times.map((t) => t / slowedBy) };
}

function timesDivided(moments: Overrides['moments'], slowedBy: number): Readonly<Partial<Record<MomentId, number>>> {
  return Object.fromEntries(Object.entries(moments ?? {}).map(([id, t]) => [id, t / slowedBy]));
}

function momentsInClipTime(moments: Moments, slowedBy: number): Moments {
  const shift = (moment: Moment): Moment => (moment.found ? { ...moment, t: moment.t * slowedBy, sd: moment.sd * slowedBy } : moment);
  return Object.fromEntries(Object.entries(moments).map(([id, moment]) => [id, shift(moment)])) as Record<MomentId, Moment>;
}

function inClipTime(measures: Measures, slowedBy: number): Measures {
  return Object.fromEntries(Object.entries(measures).map(([id, measure]) => [
    id,
    measure.measured && measure.t !== null ? { ...measure, t: measure.t * slowedBy } : measure,
  ]));
}
