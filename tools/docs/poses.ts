import type { BodyPose } from './stick-figure.ts';
import { legToFloor } from './stick-figure.ts';

const HANGING = { thighDeg: -90, kneeDeg: 176, footDeg: 0 } as const;

/** Feet together, standing. */
export const STANDING: BodyPose = { lead: { ...HANGING, thighDeg: -88 }, other: HANGING, leanDeg: 2, armDeg: 8 };

/** Low staggered lunge before the sprint-lunge start: other leg in front, lead leg behind. */
export const LOW_LUNGE: BodyPose = {
  lead: legToFloor(0.92, 140, 0.17, false, 55),
  other: legToFloor(0.92, 135, 0.07, true, 0),
  leanDeg: 40,
  armDeg: -60,
  elbowDeg: 175,
};

/** Standing in passé, arms up. */
export const IN_PASSE: BodyPose = { lead: { thighDeg: 2, kneeDeg: 52, footDeg: 70 }, other: { thighDeg: -89, kneeDeg: 178, footDeg: 0 }, leanDeg: 2, armDeg: 176 };

/** The driven knee at its highest, in the air. */
export const DRIVING: BodyPose = { lead: { thighDeg: 4, kneeDeg: 55, footDeg: 60 }, other: { thighDeg: -112, kneeDeg: 164, footDeg: 60 }, leanDeg: 14, armDeg: 150, airborne: 0.16 };

/** The pushing foot about to leave the floor. */
export const LAUNCHING: BodyPose = { lead: { thighDeg: -8, kneeDeg: 58, footDeg: 55 }, other: { thighDeg: -110, kneeDeg: 168, footDeg: 62 }, leanDeg: 18, armDeg: 120 };

/** The lead foot has landed in the lunge. */
export const LUNGING: BodyPose = { lead: legToFloor(0.87, 145, 0.07, true, 0), other: legToFloor(0.87, 168, 0.15, false, 50), leanDeg: 21, armDeg: 165 };

/** The first hand is on the floor, the rear leg kicks. */
export const HANDS_DOWN: BodyPose = { lead: { thighDeg: -72, kneeDeg: 130, footDeg: 0 }, other: { thighDeg: -206, kneeDeg: 167, footDeg: 200 }, leanDeg: 113, armDeg: 148 };

/** One knee on the floor. */
export const KNEELING: BodyPose = { lead: { thighDeg: -93, kneeDeg: 88, footDeg: 75 }, other: { thighDeg: -2, kneeDeg: 91, footDeg: 0 }, leanDeg: 4, armDeg: 10 };

/** A running step, the lead foot landing. */
export const STEPPING: BodyPose = { lead: legToFloor(0.98, 160, 0.07, true, 0), other: { thighDeg: -100, kneeDeg: 120, footDeg: 60 }, leanDeg: 14, armDeg: -35, elbowDeg: 100 };
