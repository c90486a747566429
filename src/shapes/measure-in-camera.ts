import { asFilmed, squareOn, type CameraPose } from '../camera/camera-pose.ts';
import { poseOf, type CameraView } from '../camera/camera-view.ts';
import { awayLeg, squareBody } from '../camera/square-body.ts';
import type { Rep } from '../phases/find-rep.ts';
import { legLengthPx } from '../pose/body-scale.ts';
import type { Side } from '../starts/start.ts';
import type { Point } from '../units/point.ts';
import { measureRep, type MeasureContext } from './measure-rep.ts';
import type { Measure, MeasureId, Measures, MeasureUnit } from './measure.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** A rep as a level camera straight across the run would have seen it, and the scale there. */
export interface SquareRep {
  readonly rep: Rep;
  readonly scale: MeasureContext['scale'];
}

/** What is known beside the rep and the camera. */
export interface SceneFacts {
  readonly isTimeKnown: boolean;
  readonly widthPx: number;
  readonly heightPx: number;
  /** How far the picture itself moved, pixels: a joint may have been seen that far outside the first picture. */
  readonly slackPx?: number;
  /** The scale in the square-on picture of a pose, in which the athlete's leg measures `legPx`; null without one. */
  readonly scaleIn: (pose: CameraPose, legPx: number) => MeasureContext['scale'];
}

/** Three-point Gauss quadrature: nodes at ±√3 standard deviations, a sixth of the weight each. */
const NODE = Math.sqrt(3);
const NODE_WEIGHT = 1 / 6;
/** How far apart the feet and hands are, as a share of the usual width, one standard deviation. Chosen: from nearly on one line to nearly twice as wide at 95 %. */
const WIDTH_SHARE_SD = 0.35;
/** A joint shifted for its side of the body may seem this far outside the picture without being so, leg lengths. */
const EDGE_SLACK_LEG = 0.1;
const ANGLES: readonly MeasureUnit[] = ['deg', 'deg/s'];
const LENGTHS: readonly MeasureUnit[] = ['leg', 'm', 'leg/s', 'm/s'];

/** The rep as seen by a level camera straight across the run. */
export function squareRep(rep: Rep, pose: CameraPose, facts: SceneFacts, widthShare = 1): SquareRep {
  const toDisplay = rep.direction.value === 'right-to-left' ? -1 : 1;
  const squareX = (foot: Side, x: number, y: number): number =>
    toDisplay * squareOn({ x: toDisplay * x, y }, pose, awayLeg('ankle', foot, rep.direction.value) * rep.legPx * widthShare).x;
  const body = squareBody(rep.body, rep.direction.value, pose, rep.legPx, widthShare);
  const legPx = legLengthPx(body);
  return {
    rep: {
      ...rep,
      body,
      legPx,
      contacts: rep.contacts.map((contact) => ({ ...contact, ankleX: squareX(contact.foot, contact.ankleX, contact.floorY) })),
      steps: rep.steps.map((step) => ({ ...step, xPx: squareX(step.foot, step.xPx, rep.floorY) })),
    },
    scale: facts.scaleIn(pose, legPx),
  };
}

/**
 * All measures of the rep with the camera's yaw, roll and slant undone, their intervals widened by how unsure they are, and
 * refused where the camera surely stood too far off side-on (lengths and speeds above 20°, angles above 30°).
 */
export function measureInCamera(rep: Rep, view: CameraView, facts: SceneFacts): Measures {
  const measureAt = (moved: { readonly yawDeg?: number; readonly rollDeg?: number; readonly tiltDeg?: number; readonly widthShare?: number }): Measures => {
    const pose = poseOf(view, facts.widthPx, facts.heightPx, moved);
    const square = squareRep(rep, pose, facts, moved.widthShare);
    const slackPx = EDGE_SLACK_LEG * rep.legPx + (facts.slackPx ?? 0);
    return measureRep(square.rep, {
      isTimeKnown: facts.isTimeKnown, widthPx: facts.widthPx, heightPx: facts.heightPx,
      scale: square.scale,
      asFilmed: (point) => pulledIn(asFilmed(point, pose), slackPx, facts),
    });
  };
  const best = measureAt({});
  const yaws = [-1, 1].map((sign) => measureAt({ yawDeg: sign * NODE * view.sdDeg }));
  // Roll, tilt and the body's width act straight through: one step tells their share.
  const others = [measureAt({ rollDeg: view.rollSdDeg }), measureAt({ tiltDeg: view.tiltSdDeg }), measureAt({ widthShare: 1 - WIDTH_SHARE_SD })];
  return Object.fromEntries((Object.entries(best) as [MeasureId, Measure][]).map(([id, measure]) => {
    if (!measure.measured) return [id, measure];
    if (isRefused(measure.unit, view)) return [id, { measured: false, why: 'camera-off-side' }];
    if (!ANGLES.includes(measure.unit) && !LENGTHS.includes(measure.unit)) return [id, measure];
    const variance = NODE_WEIGHT * squaredShift(yaws, id, measure.value) + squaredShift(others, id, measure.value);
    return [id, widened(measure, Z95 * Math.sqrt(variance))];
  }));
}

/** Points that lie outside the picture by no more than the slack, moved onto its edge. */
function pulledIn({ x, y }: Point, slackPx: number, { widthPx, heightPx }: SceneFacts): Point {
  const pull = (value: number, end: number): number => (value < 0 && value > -slackPx ? 0 : value > end && value < end + slackPx ? end : value);
  return { x: pull(x, widthPx), y: pull(y, heightPx) };
}

function isRefused(unit: MeasureUnit, { warning }: CameraView): boolean {
  if (warning === 'all-refused') return ANGLES.includes(unit) || LENGTHS.includes(unit);
  return warning === 'lengths-refused' && LENGTHS.includes(unit);
}

/** Sum of the squared differences that moving the camera makes; a measure that the moved camera lacks adds none. */
function squaredShift(moved: readonly Measures[], id: MeasureId, value: number): number {
  return moved.reduce((sum, measures) => {
    const measure = measures[id];
    return measure?.measured ? sum + (measure.value - value) ** 2 : sum;
  }, 0);
}

function widened(measure: Extract<Measure, { measured: true }>, by: number): Measure {
  const [lo, hi] = measure.ci95;
  return { ...measure, ci95: [measure.value - Math.hypot(measure.value - lo, by), measure.value + Math.hypot(hi - measure.value, by)] };
}
