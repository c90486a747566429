import { angleBetweenDeg, angleBetweenSdDeg, interiorAngleDeg, interiorAngleSdDeg, leanFromVerticalDeg, ratioSd, segmentAngleDeg, segmentAngleSdDeg, thighElevationDeg } from '../geometry/index.ts';
import type { Rep } from '../phases/find-rep.ts';
import type { Moment, MomentId, Source } from '../phases/moment.ts';
import type { Path } from '../pose/body-track.ts';
import { frameNear } from '../pose/frame-near.ts';
import { frameSpacing } from '../signal/frame-spacing.ts';
import { localFit } from '../signal/local-fit.ts';
import { otherSide } from '../starts/start.ts';
import { measuresOf } from '../tolerances/applies.ts';
import type { Point } from '../units/point.ts';
import type { WhyNot } from '../units/why-not.ts';
import { jointOver, jointsAt, UNSTATED_SD_LEG, type JointAt } from './joint-at.ts';
import type { Measure, MeasureId, Measures, MeasureUnit } from './measure.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** What is known beside the rep. */
export interface MeasureContext {
  /** Whether the rep's times are real seconds. */
  readonly isTimeKnown: boolean;
  /** Metres per pixel in the plane of travel, null without a scale, and its relative deviation. */
  readonly scale: { readonly metresPerPixel: number; readonly relativeSd: number } | null;
  readonly widthPx: number;
  readonly heightPx: number;
  /** The display point of a joint's place, where the rep was turned square-on; left out when it is in display pixels. */
  readonly asFilmed?: (point: Point) => Point;
}

/** A joint scored lower than this is not measured. Chosen: the model says "more likely hidden or outside than not". */
const SCORE_FLOOR = 0.3;
/** An angle whose joints leave it less sure than this, one standard deviation in degrees, is not measured: its interval would span two bands. Chosen. */
const LOOSEST_ANGLE_SD_DEG = 15;
/** A thigh that strays this far from a smooth turn, degrees, changed legs on the way. Chosen: three times a joint's jitter. */
const JUMPY_THIGH_DEG = 8;
/** No thigh turns faster, degrees a second: hips of sprinters reach 600 to 800 (from memory, not checked); chosen with room. */
const FASTEST_THIGH_DEG_S = 1200;
/** Half width of the cubic that gives the kick's rate, seconds. Chosen on drawn starts: a parabola of 0.05 s reads 29°/s too slow, this 9. */
const KICK_HALF_WIDTH_S = 0.07;
/** What slow errors of hip and knee do to the kick's rate, relative deviation: makes the interval hold 95 % on 17 rendered clips (docs/accuracy.md). */
const KICK_RELATIVE_SD = 0.06;
/** Half width of the parabola that gives speeds at the hip, seconds. */
const SPEED_HALF_WIDTH_S = 0.06;
/** Relative deviation of the leg length over a clip. Chosen from the twelve rendered clips' spread. */
const LEG_RELATIVE_SD = 0.015;

/** What a slowly changing error of the hips does to their speed, relative deviation. Chosen from the harder rendered clips (docs/accuracy.md). */
const HIP_DRIFT_RELATIVE_SD = 0.05;

type Angle = { readonly value: number; readonly sd: number; readonly isPlaced: boolean } | WhyNot;

/** All measures of the rep's start; each has a value with its 95 % interval or the reason why not. */
export function measureRep(rep: Rep, context: MeasureContext): Measures {
  return Object.fromEntries(measuresOf(rep.start.value).map((id) => [id, measureOne(id, rep, context)]));
}

function measureOne(id: MeasureId, rep: Rep, context: MeasureContext): Measure {
  const lead = rep.body[rep.lead.value];
  const other = rep.body[otherSide(rep.lead.value)];
  switch (id) {
    case 'set.backKnee': return inSet(rep, context, (at) => knee(at, lead));
    case 'set.frontKnee': return inSet(rep, context, (at) => knee(at, other));
    case 'set.passeKnee': return inSet(rep, context, (at) => knee(at, lead));
    case 'set.passeThigh': return inSet(rep, context, (at) => thigh(at, lead.hip, lead.knee));
    case 'set.trunkLean': return inSet(rep, context, (at) => lean(at, rep));
    case 'set.armsBehind': return inSet(rep, context, (at) => armsBehind(at, rep));
    case 'set.lungeRatio': return inSet(rep, context, (at) => lunge(at, rep), 'leg');
    case 'passe.knee': return atTop(rep, context, (at) => knee(at, lead));
    case 'passe.thigh': return atTop(rep, context, (at) => thigh(at, lead.hip, lead.knee));
    case 'launch.trunkLean': return atMoment(rep, context, rep.moments.launch, (at) => lean(at, rep));
    case 'launch.pushKnee': return straightestNear(rep, context, 'launch', (at) => knee(at, other));
    case 'launch.hipSpeed': return hipSpeed(rep, context);
    case 'plant.lungeRatio': return atMoment(rep, context, rep.moments.plant, (at) => lunge(at, rep), 'leg');
    case 'plant.trunkLean': return atMoment(rep, context, rep.moments.plant, (at) => lean(at, rep));
    case 'plant.frontKnee': return atMoment(rep, context, rep.moments.plant, (at) => knee(at, lead));
    case 'kick.split': return atMoment(rep, context, rep.moments.hands, (at) => split(at, rep));
    case 'kick.rearKnee': return atMoment(rep, context, rep.moments.hands, (at) => knee(at, other));
    case 'kick.rate': return kickRate(rep, context);
    case 'hurdle.flight': return flight(rep, context);
    case 'time.toPlant': return between(rep.moments.firstMove, rep.moments.plant, context.isTimeKnown);
    case 'time.toHands': return between(rep.moments.firstMove, rep.moments.hands, context.isTimeKnown);
    case 'steps.count': return stepCount(rep);
    case 'steps.firstLeg': return firstLeg(rep);
    case 'steps.length[1]': return stepLength(rep, 0);
    case 'steps.length[2]': return stepLength(rep, 1);
    case 'steps.time[1]': return stepTime(rep, 0, context.isTimeKnown);
    case 'steps.time[2]': return stepTime(rep, 1, context.isTimeKnown);
    case 'mark.toHands': return markToHands(rep, context);
  }
}

/** Reads joints at one instant, or over the still window. */
type Reader = (path: Path) => JointAt | WhyNot;

function readerAt(t: number, rep: Rep, context: MeasureContext): Reader {
  const jointAt = jointsAt(rep.body, t, rep.legPx);
  return (path) => seen(jointAt(path), rep, context);
}

function seen(joint: JointAt | null, rep: Rep, context: MeasureContext): JointAt | WhyNot {
  if (joint === null) return 'low-confidence';
  const place = { x: rep.direction.value === 'right-to-left' ? -joint.x : joint.x, y: joint.y };
  const { x, y } = context.asFilmed?.(place) ?? place;
  if (x < 0 || x > context.widthPx || y < 0 || y > context.heightPx) return 'not-in-view';
  return joint.score < SCORE_FLOOR ? 'low-confidence' : joint;
}

const isReason = (value: JointAt | WhyNot): value is WhyNot => typeof value === 'string';

function withJoints(at: Reader, paths: readonly Path[], compute: (joints: readonly JointAt[]) => { value: number | null; sd: number | null }): Angle {
  const joints: JointAt[] = [];
  for (const path of paths) {
    const joint = at(path);
    if (isReason(joint)) return joint;
    joints.push(joint);
  }
  const { value, sd } = compute(joints);
  return value === null || sd === null ? 'low-confidence' : { value, sd, isPlaced: joints.some((joint) => joint.isPlaced) };
}

function knee(at: Reader, limbs: { readonly hip: Path; readonly knee: Path; readonly ankle: Path }): Angle {
  return withJoints(at, [limbs.hip, limbs.knee, limbs.ankle], ([h, k, a]) => ({
    value: interiorAngleDeg(h!, k!, a!),
    sd: interiorAngleSdDeg(h!, k!, a!, h!.sd, k!.sd, a!.sd),
  }));
}

function thigh(at: Reader, hip: Path, kneePath: Path): Angle {
  return withJoints(at, [hip, kneePath], ([h, k]) => ({
    value: thighElevationDeg(h!, k!, 'left-to-right'),
    sd: segmentAngleSdDeg(h!, k!, h!.sd, k!.sd),
  }));
}

function lean(at: Reader, rep: Rep): Angle {
  return withJoints(at, [rep.body.hipMid, rep.body.shoulderMid], ([h, s]) => ({
    value: leanFromVerticalDeg(h!, s!, 'left-to-right'),
    sd: segmentAngleSdDeg(h!, s!, h!.sd, s!.sd),
  }));
}

/** Ankle-to-ankle distance along the floor over leg length; the rep's feet were put into the plane of travel by squareRep. */
function lunge(at: Reader, rep: Rep): Angle {
  return withJoints(at, [rep.body.left.ankle, rep.body.right.ankle], ([l, r]) => {
    const span = Math.abs(l!.x - r!.x);
    return { value: span / rep.legPx, sd: ratioSd(span, rep.legPx, Math.hypot(l!.sd, r!.sd), LEG_RELATIVE_SD * rep.legPx) };
  });
}

/** Angle between the thighs, 0 to 180. */
function split(at: Reader, rep: Rep): Angle {
  const { left, right } = rep.body;
  return withJoints(at, [left.hip, left.knee, right.hip, right.knee], ([lh, lk, rh, rk]) => ({
    value: angleBetweenDeg(lh!, lk!, rh!, rk!),
    sd: angleBetweenSdDeg(lh!, lk!, rh!, rk!, lh!.sd, lk!.sd, rh!.sd, rk!.sd),
  }));
}

/** Mean of both upper arms' angle behind the trunk line shoulder → hip: 0 along the trunk, 90 straight back. */
function armsBehind(at: Reader, rep: Rep): Angle {
  const arms = (['left', 'right'] as const).map((side) => withJoints(at, [rep.body[side].shoulder, rep.body[side].elbow, rep.body.shoulderMid, rep.body.hipMid], ([s, e, sm, hm]) => {
    const arm = segmentAngleDeg(s!, e!, 'left-to-right');
    const trunk = segmentAngleDeg(sm!, hm!, 'left-to-right');
    const sd = angleBetweenSdDeg(s!, e!, sm!, hm!, s!.sd, e!.sd, sm!.sd, hm!.sd);
    if (arm === null || trunk === null) return { value: null, sd };
    const behind = trunk - arm;
    return { value: ((behind + 540) % 360) - 180, sd };
  }));
  const good = arms.filter((arm) => typeof arm !== 'string');
  if (good.length === 0) return arms[0]!;
  return { value: good.reduce((sum, arm) => sum + arm.value, 0) / good.length, sd: Math.max(...good.map((arm) => arm.sd)), isPlaced: good.some((arm) => arm.isPlaced) };
}

/** A figure read from the still posture before the start. */
function inSet(rep: Rep, context: MeasureContext, compute: (at: Reader) => Angle, unit: MeasureUnit = 'deg'): Measure {
  const { set } = rep.moments;
  if (!set.found) return { measured: false, why: set.why };
  const placed = placedIn(rep);
  if (placed !== null) return finish(compute(readerAt(placed, rep, context)), 0, set, rep, unit);
  if (set.source === 'user') return atMoment(rep, context, set, compute, unit);
  return finish(compute((path) => seen(jointOver(path, rep.still[0], rep.still[1], rep.legPx), rep, context)), 0, set, rep, unit);
}

/** Clip seconds of a frame of the still posture in which a person placed a joint, null when there is none. */
function placedIn(rep: Rep): number | null {
  const paths = [rep.body.left, rep.body.right].flatMap((limbs) => Object.values(limbs));
  for (let frame = rep.still[0]; frame <= rep.still[1]; frame++) {
    if (paths.some((path) => path.isPlaced(frame))) return rep.body.times[frame]!;
  }
  return null;
}

/** A figure read at a moment; what it changes over the moment's own uncertainty widens the interval. */
function atMoment(rep: Rep, context: MeasureContext, moment: Moment, compute: (at: Reader) => Angle, unit: MeasureUnit = 'deg'): Measure {
  if (!moment.found) return { measured: false, why: moment.why };
  const here = compute(readerAt(moment.t, rep, context));
  const before = compute(readerAt(moment.t - moment.sd, rep, context));
  const after = compute(readerAt(moment.t + moment.sd, rep, context));
  const drift = typeof here === 'string' || typeof before === 'string' || typeof after === 'string' ? 0 : Math.hypot(after.value - here.value, before.value - here.value) / Math.SQRT2;
  return finish(here, drift, moment, rep, unit);
}

/** A figure read at the passé; what it would be at other tops nearly as high widens the interval, or refuses it. */
function atTop(rep: Rep, context: MeasureContext, compute: (at: Reader) => Angle): Measure {
  const { moments: { passe }, kneeTops } = rep;
  const best = atMoment(rep, context, kneeTops === null || !passe.found ? passe : { ...passe, sd: kneeTops.ownSd }, compute);
  if (!best.measured || kneeTops === null) return best;
  let weight = 1;
  let square = 0;
  for (const { t, share } of kneeTops.others) {
    const there = compute(readerAt(t, rep, context));
    if (typeof there === 'string') continue;
    weight += share;
    square += share * (there.value - best.value) ** 2;
  }
  const sd = Math.sqrt(square / weight);
  const half = Math.hypot(best.ci95[1] - best.value, Z95 * sd);
  return sd > LOOSEST_ANGLE_SD_DEG ? { measured: false, why: 'low-confidence' } : { ...best, ci95: [best.value - half, best.value + half] };
}

/**
 * A knee that straightens up to a moment and folds at once after it, read at its straightest within the moment's own
 * uncertainty: a frame too late would read as much as 14° too bent.
 */
function straightestNear(rep: Rep, context: MeasureContext, id: MomentId, compute: (at: Reader) => Angle): Measure {
  const moment = rep.moments[id];
  if (!moment.found) return { measured: false, why: moment.why };
  if (moment.source === 'user') return atMoment(rep, context, moment, compute);
  let best = compute(readerAt(moment.t, rep, context));
  for (const share of [-2, -1.5, -1, -0.5, 0.5, 1]) {
    const near = compute(readerAt(moment.t + share * moment.sd, rep, context));
    if (typeof near !== 'string' && (typeof best === 'string' || near.value > best.value)) best = near;
  }
  return finish(best, 0, moment, rep, 'deg');
}

function finish(angle: Angle, drift: number, moment: Extract<Moment, { found: true }>, rep: Rep, unit: MeasureUnit): Measure {
  if (typeof angle === 'string') return { measured: false, why: angle };
  const sd = Math.hypot(angle.sd, drift);
  if (unit === 'deg' && Math.max(angle.sd, drift) > LOOSEST_ANGLE_SD_DEG) return { measured: false, why: 'low-confidence' };
  return figure(angle.value, sd, unit, moment.t, rep, angle.isPlaced ? 'user' : moment.source);
}

function figure(value: number, sd: number, unit: MeasureUnit, t: number | null, rep: Rep, source: Source): Measure {
  const frame = t === null ? null : frameNear(rep.body.frameTimes, t);
  return { measured: true, value, unit, ci95: [value - Z95 * sd, value + Z95 * sd], t, frame, source };
}

function hipSpeed(rep: Rep, context: MeasureContext): Measure {
  const { launch } = rep.moments;
  if (!launch.found) return { measured: false, why: launch.why };
  if (!context.isTimeKnown) return { measured: false, why: 'time-base-unknown' };
  const { times, hipMid } = rep.body;
  const half = Math.max(SPEED_HALF_WIDTH_S, 2.5 * frameSpacing(times));
  const fit = localFit(times, hipMid.x, null, launch.t, half, 2) ?? localFit(times, hipMid.x, null, launch.t, half, 1);
  if (fit === null) return { measured: false, why: 'low-confidence' };
  const speed = fit.first / rep.legPx;
  const noisePx = fit.residualSd ?? 0.01 * rep.legPx;
  const sd = Math.hypot(
    (fit.firstNoise * noisePx) / rep.legPx,
    speed * Math.hypot(LEG_RELATIVE_SD, HIP_DRIFT_RELATIVE_SD),
    (Math.abs(fit.second) * launch.sd) / rep.legPx,
  );
  return figure(speed, sd, 'leg/s', launch.t, rep, launch.source);
}

/** Peak rate at which the rear thigh turns between plant and hands, degrees a second. */
function kickRate(rep: Rep, context: MeasureContext): Measure {
  const { plant, hands } = rep.moments;
  if (!plant.found) return { measured: false, why: plant.why };
  if (!hands.found) return { measured: false, why: hands.why };
  if (!context.isTimeKnown) return { measured: false, why: 'time-base-unknown' };
  const other = rep.body[otherSide(rep.lead.value)];
  const { times } = rep.body;
  let turned = 0;
  const angle = other.hip.x.map((x, i) => {
    const raw = Math.atan2(-(other.knee.y[i]! - other.hip.y[i]!), other.knee.x[i]! - x) * (180 / Math.PI);
    if (!Number.isFinite(raw)) return NaN;
    turned += ((raw - turned + 540) % 360) - 180;
    return turned;
  });
  const half = Math.max(KICK_HALF_WIDTH_S, 2.5 * frameSpacing(times, hands.t));
  let best: { rate: number; sd: number; t: number } | null = null;
  for (let i = frameNear(times, plant.t); i <= frameNear(times, hands.t); i++) {
    const fit = localFit(times, angle, null, times[i]!, half, 3);
    if (fit === null) continue;
    if (fit.residualSd !== null && fit.residualSd > JUMPY_THIGH_DEG) return { measured: false, why: 'low-confidence' };
    const rate = Math.abs(fit.first);
    if (best === null || rate > best.rate) best = { rate, sd: (fit.firstNoise * (fit.residualSd ?? 2)), t: times[i]! };
  }
  if (best === null || best.rate > FASTEST_THIGH_DEG_S) return { measured: false, why: 'low-confidence' };
  return figure(best.rate, Math.hypot(best.sd, KICK_RELATIVE_SD * best.rate), 'deg/s', best.t, rep, 'detected');
}

function flight(rep: Rep, context: MeasureContext): Measure {
  if (!context.isTimeKnown) return { measured: false, why: 'time-base-unknown' };
  if (rep.flight === null) return { measured: false, why: 'moment-not-found' };
  const source = rep.moments.launch.found ? rep.moments.launch.source : 'detected';
  return figure((rep.flight.to - rep.flight.from), rep.flight.sd, 's', null, rep, source);
}

function between(a: Moment, b: Moment, isTimeKnown: boolean): Measure {
  if (!a.found) return { measured: false, why: a.why };
  if (!b.found) return { measured: false, why: b.why };
  if (!isTimeKnown) return { measured: false, why: 'time-base-unknown' };
  const value = (b.t - a.t);
  const half = Z95 * Math.hypot(a.sd, b.sd);
  const source = a.source === 'user' || b.source === 'user' ? 'user' : 'detected';
  return { measured: true, value, unit: 's', ci95: [value - half, value + half], t: null, frame: null, source };
}

function stepCount(rep: Rep): Measure {
  if (!rep.moments.launch.found) return { measured: false, why: rep.moments.launch.why };
  return figure(rep.steps.length, 0, 'count', null, rep, 'detected');
}

function firstLeg(rep: Rep): Measure {
  const first = rep.steps[0];
  if (first === undefined) return { measured: false, why: 'moment-not-found' };
  return figure(first.foot === 'left' ? -1 : 1, 0, 'side', first.t, rep, 'detected');
}

/** Distance from where the foot before stood to where this one lands, over leg length. */
function stepLength(rep: Rep, n: number): Measure {
  const step = rep.steps[n];
  if (step === undefined) return { measured: false, why: 'moment-not-found' };
  const before = n > 0 ? rep.steps[n - 1] : rep.contacts.filter((contact) => contact.foot !== step.foot && contact.on < step.t).map(({ foot, ankleX }) => ({ foot, xPx: ankleX })).at(-1);
  if (before === undefined || !Number.isFinite(before.xPx)) return { measured: false, why: 'moment-not-found' };
  const span = step.xPx - before.xPx;
  const joint = jointsAt(rep.body, step.t, rep.legPx)(rep.body[step.foot].ankle);
  const sd = ratioSd(span, rep.legPx, Math.SQRT2 * (joint?.sd ?? UNSTATED_SD_LEG * rep.legPx), LEG_RELATIVE_SD * rep.legPx);
  return sd === null ? { measured: false, why: 'low-confidence' } : figure(span / rep.legPx, sd, 'leg', step.t, rep, 'detected');
}

/** Seconds from the landing before (for the first step: from the first movement) to this landing. */
function stepTime(rep: Rep, n: number, isTimeKnown: boolean): Measure {
  const step = rep.steps[n];
  if (step === undefined) return { measured: false, why: 'moment-not-found' };
  const landing: Moment = { found: true, t: step.t, sd: step.sd, source: 'detected' };
  const before = rep.steps[n - 1];
  const from: Moment = n === 0 ? rep.moments.firstMove : before ? { found: true, t: before.t, sd: before.sd, source: 'detected' } : { found: false, why: 'moment-not-found' };
  return between(from, landing, isTimeKnown);
}

/** From the foremost toe in the set posture to the first hand on the floor, metres. */
function markToHands(rep: Rep, context: MeasureContext): Measure {
  const { hands, set } = rep.moments;
  if (context.scale === null) return { measured: false, why: 'no-scale' };
  if (!hands.found) return { measured: false, why: hands.why };
  if (!set.found) return { measured: false, why: set.why };
  const toes = [rep.body.left.toe, rep.body.right.toe].map((path) => jointOver(path, rep.still[0], rep.still[1], rep.legPx)).filter((joint) => joint !== null);
  const wrists = [rep.body.left.wrist, rep.body.right.wrist].map(jointsAt(rep.body, hands.t, rep.legPx)).filter((joint) => joint !== null);
  const toe = toes.sort((a, b) => b.x - a.x)[0];
  const hand = wrists.sort((a, b) => b.y - a.y)[0];
  if (toe === undefined || hand === undefined) return { measured: false, why: 'low-confidence' };
  const metres = (hand.x - toe.x) * context.scale.metresPerPixel;
  const sd = Math.hypot(Math.hypot(toe.sd, hand.sd) * context.scale.metresPerPixel, metres * context.scale.relativeSd);
  return figure(metres, sd, 'm', null, rep, hands.source);
}
