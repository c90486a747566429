import { BODY_FRACTION } from '../../src/geometry/index.ts';

/** A point in leg lengths: x along the travel, y up. */
export interface FigurePoint {
  readonly x: number;
  readonly y: number;
}

/** Joint centres of one leg. */
export interface FigureLeg {
  readonly hip: FigurePoint;
  readonly knee: FigurePoint;
  readonly ankle: FigurePoint;
  readonly toe: FigurePoint;
}

/** A body in one plane, standing on y = 0, travelling to the right. */
export interface Figure {
  readonly lead: FigureLeg;
  readonly other: FigureLeg;
  readonly hip: FigurePoint;
  readonly shoulder: FigurePoint;
  readonly elbow: FigurePoint;
  readonly hand: FigurePoint;
  readonly head: FigurePoint;
}

/** A leg by the elevation of its thigh (0 level in front, −90 hanging), its interior knee angle, and the foot's angle below level. */
export interface LegPose {
  readonly thighDeg: number;
  readonly kneeDeg: number;
  readonly footDeg: number;
}

/** A body by its angles; lean and arm as in docs/conventions.md (arm 0 along the trunk, positive in front, negative behind, 180 overhead). */
export interface BodyPose {
  readonly lead: LegPose;
  readonly other: LegPose;
  readonly leanDeg: number;
  readonly armDeg: number;
  readonly elbowDeg?: number;
  /** How high the lowest point stands above the floor: 0 unless the body is in the air. */
  readonly airborne?: number;
}

const LEG = BODY_FRACTION.thigh + BODY_FRACTION.shank;
const THIGH = BODY_FRACTION.thigh / LEG;
const SHANK = BODY_FRACTION.shank / LEG;
const TRUNK = BODY_FRACTION.trunk / LEG;
const UPPER_ARM = BODY_FRACTION.upperArm / LEG;
const FOREARM = (BODY_FRACTION.forearm + BODY_FRACTION.hand) / LEG;
const FOOT = 0.2;
const NECK = 0.24;

/** The joint centres of a posed body with the segment lengths of Drillis & Contini (1966), in leg lengths. */
export function stickFigure(pose: BodyPose): Figure {
  const hip = { x: 0, y: 0 };
  const shoulder = along(hip, 90 - pose.leanDeg, TRUNK);
  const armDeg = 270 - pose.leanDeg + pose.armDeg;
  const elbow = along(shoulder, armDeg, UPPER_ARM);
  const loose: Figure = {
    lead: leg(hip, pose.lead),
    other: leg(hip, pose.other),
    hip,
    shoulder,
    elbow,
    hand: along(elbow, armDeg + (180 - (pose.elbowDeg ?? 180)), FOREARM),
    head: along(shoulder, 90 - pose.leanDeg * 0.8, NECK),
  };
  const lowest = Math.min(...[loose.lead, loose.other].flatMap(({ ankle, toe }) => [ankle.y - 0.07, toe.y]), loose.hand.y);
  return lifted(loose, (pose.airborne ?? 0) - lowest);
}

/** The pose of a straight or bent leg whose ankle reaches a given height when the hip is `hipHeight` above the floor; `ahead` tells front or back. */
export function legToFloor(hipHeight: number, kneeDeg: number, ankleHeight: number, ahead: boolean, footDeg: number): LegPose {
  const reach = 2 * THIGH * Math.sin((kneeDeg * Math.PI) / 360);
  const drop = (hipHeight - ankleHeight) / reach;
  if (!(drop > 0 && drop <= 1)) throw new RangeError(`a leg of ${reach} cannot drop ${hipHeight - ankleHeight}`);
  const slant = (Math.acos(drop) * 180) / Math.PI;
  return { thighDeg: -90 + (ahead ? slant : -slant) + (180 - kneeDeg) / 2, kneeDeg, footDeg };
}

function leg(hip: FigurePoint, { thighDeg, kneeDeg, footDeg }: LegPose): FigureLeg {
  const knee = along(hip, thighDeg, THIGH);
  const ankle = along(knee, thighDeg - (180 - kneeDeg), SHANK);
  return { hip, knee, ankle, toe: along(ankle, -footDeg, FOOT) };
}

function along(from: FigurePoint, directionDeg: number, length: number): FigurePoint {
  const radians = (directionDeg * Math.PI) / 180;
  return { x: from.x + length * Math.cos(radians), y: from.y + length * Math.sin(radians) };
}

function lifted(figure: Figure, by: number): Figure {
  const up = ({ x, y }: FigurePoint): FigurePoint => ({ x, y: y + by });
  const upLeg = ({ hip, knee, ankle, toe }: FigureLeg): FigureLeg => ({ hip: up(hip), knee: up(knee), ankle: up(ankle), toe: up(toe) });
  return {
    lead: upLeg(figure.lead),
    other: upLeg(figure.other),
    hip: up(figure.hip),
    shoulder: up(figure.shoulder),
    elbow: up(figure.elbow),
    hand: up(figure.hand),
    head: up(figure.head),
  };
}
