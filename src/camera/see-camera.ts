import type { Rep } from '../phases/find-rep.ts';
import type { FootContact } from '../phases/foot-contacts.ts';
import type { Point } from '../units/point.ts';
import { degreesOf } from '../units/degrees.ts';
import { cameraView, type CameraView } from './camera-view.ts';
import { combinedDeg } from './combine-cues.ts';
import { floorLineDeg } from './floor-line.ts';
import { marksOnMat, TAP_SD, type FloorMarks, type FloorTaps } from './floor-scale.ts';
import type { Estimate } from './growth-cue.ts';
import type { Lens } from './lens.ts';
import { cameraByMat } from './mat-camera.ts';
import { offSideByBody } from './off-side.ts';
import { tiltCues } from './tilt-cue.ts';

/** The twist into the hands begins this long before them, seconds. Chosen. */
const BEFORE_HANDS_S = 0.1;

/** How the camera stood to the run, from what the user tapped on the floor and from the athlete's body. */
export function seeCamera(rep: Rep, widthPx: number, heightPx: number, usual: Lens, taps?: FloorTaps): CameraView {
  const { plant, hands } = rep.moments;
  const end = rep.body.times[rep.body.times.length - 1] ?? 0;
  const handsS = hands.found ? hands.t - BEFORE_HANDS_S : plant.found ? plant.t : end;
  const mat = taps?.kind === 'mat' ? cameraByMat(taps, usual, widthPx, heightPx) : null;
  const lens = mat?.lens ?? usual;
  const body = offSideByBody({
    body: rep.body, direction: rep.direction.value, legPx: rep.legPx, widthPx, lens,
    plantS: plant.found ? plant.t : handsS, handsS,
  });
  const marks = taps === undefined ? null : taps.kind === 'marks' ? taps : marksOnMat(taps, feetOnFloor(rep));
  const row = marks === null ? rep.floorY : (marks.a.y + marks.b.y) / 2;
  return cameraView({
    lens,
    body,
    tilt: combinedDeg(tiltCues(rep.body, signOf(rep), rep.legPx, heightPx / 2, lens.focalPx, plant.found ? plant.t : handsS)),
    floorLine: marks === null ? lineOfFeet(rep) : lineOfMarks(marks, heightPx),
    isMarked: marks !== null,
    floorBelow: (row - heightPx / 2) / lens.focalPx,
    mat,
  });
}

/** Where the feet stood before the hands came down, display pixels. */
export function feetOnFloor(rep: Rep): Point[] {
  return beforeHands(rep).map((contact) => ({ x: signOf(rep) * contact.ankleX, y: contact.floorY }));
}

/** A tip starts from a wedge: its feet do not stand on one level line. */
function lineOfFeet(rep: Rep): Estimate | null {
  return rep.start.value === 'tip-from-passe' ? null : floorLineDeg(beforeHands(rep), signOf(rep), rep.legPx);
}

function lineOfMarks({ a, b }: FloorMarks, heightPx: number): Estimate | null {
  const span = Math.hypot(b.x - a.x, b.y - a.y);
  if (!(span > 0)) return null;
  const [left, right] = a.x <= b.x ? [a, b] : [b, a];
  return {
    value: degreesOf(Math.atan2(right.y - left.y, right.x - left.x)),
    sd: degreesOf((Math.SQRT2 * TAP_SD * heightPx) / span),
  };
}

function beforeHands(rep: Rep): FootContact[] {
  const { hands } = rep.moments;
  const until = hands.found ? hands.t : Infinity;
  return rep.contacts.filter((contact) => contact.on < until);
}

function signOf(rep: Rep): 1 | -1 {
  return rep.direction.value === 'right-to-left' ? -1 : 1;
}
