import { asFilmed, squareOn, type CameraPose } from '../camera/camera-pose.ts';
import { poseOf, type CameraView } from '../camera/camera-view.ts';
import { squareBody } from '../camera/square-body.ts';
import type { Rep } from '../phases/find-rep.ts';
import { legLengthPx } from '../pose/body-scale.ts';
import { measureRep, type MeasureContext } from './measure-rep.ts';
import type { Measure, MeasureId, Measures, MeasureUnit } from './measure.ts';

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
  /** The scale in the square-on picture of a pose, in which the athlete's leg measures `legPx`; null without one. */
  readonly scaleIn: (pose: CameraPose, legPx: number) => MeasureContext['scale'];
}

const Z95 = 1.96;
/** Three-point Gauss quadrature: nodes at ±√3 standard deviations, a sixth of the weight each. */
const NODE = Math.sqrt(3);
const NODE_WEIGHT = 1 / 6;
const ANGLES: readonly MeasureUnit[] = ['deg', 'deg/s'];
const LENGTHS: readonly MeasureUnit[] = ['leg', 'm', 'leg/s', 'm/s'];

/** The rep as seen by a level camera straight across the run. */
export function squareRep(rep: Rep, pose: CameraPose, facts: SceneFacts): SquareRep {
  const toDisplay = rep.direction.value === 'right-to-left' ? -1 : 1;
  const squareX = (x: number, y: number): number => toDisplay * squareOn({ x: toDisplay * x, y }, pose).x;
  const body = squareBody(rep.body, rep.direction.value, pose);
  const legPx = legLengthPx(body);
  return {
    rep: {
      ...rep,
      body,
      legPx,
      contacts: rep.contacts.map((contact) => ({ ...contact, ankleX: squareX(contact.ankleX, contact.floorY) })),
      steps: rep.steps.map((step) => ({ ...step, xPx: squareX(step.xPx, rep.floorY) })),
    },
    scale: facts.scaleIn(pose, legPx),
  };
}

/**
 * All measures of the rep with the camera's yaw and roll undone, their intervals widened by how unsure both are, and
 * refused where the camera surely stood too far off side-on (lengths and speeds above 20°, angles above 30°).
 */
export function measureInCamera(rep: Rep, view: CameraView, facts: SceneFacts): Measures {
  const measureAt = (moved: { readonly yawDeg?: number; readonly rollDeg?: number }): Measures => {
    const pose = poseOf(view, facts.widthPx, facts.heightPx, moved);
    const square = squareRep(rep, pose, facts);
    return measureRep(square.rep, {
      isTimeKnown: facts.isTimeKnown, widthPx: facts.widthPx, heightPx: facts.heightPx,
      scale: square.scale,
      asFilmed: (point) => asFilmed(point, pose),
    });
  };
  const best = measureAt({});
  const yaws = [-1, 1].map((sign) => measureAt({ yawDeg: sign * NODE * view.sdDeg }));
  // Roll acts straight through: one step tells its share.
  const rolls = [measureAt({ rollDeg: view.rollSdDeg })];
  return Object.fromEntries((Object.entries(best) as [MeasureId, Measure][]).map(([id, measure]) => {
    if (!measure.measured) return [id, measure];
    if (isRefused(measure.unit, view)) return [id, { measured: false, why: 'camera-off-side' }];
    if (!ANGLES.includes(measure.unit) && !LENGTHS.includes(measure.unit)) return [id, measure];
    const variance = NODE_WEIGHT * squaredShift(yaws, id, measure.value) + squaredShift(rolls, id, measure.value);
    return [id, widened(measure, Z95 * Math.sqrt(variance))];
  }));
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
