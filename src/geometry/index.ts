export { distance } from './distance.ts';
export { angleBetweenDeg, interiorAngleDeg } from './interior-angle.ts';
export { leanFromVerticalDeg, segmentAngleDeg, thighElevationDeg } from './segment-angle.ts';
export { angleBetweenSdDeg, interiorAngleSdDeg, ratioSd, segmentAngleSdDeg } from './angle-spread.ts';
export {
  lengthLoss, removeYaw, seenAngleDeg, seenAngleOnHorizontalDeg, seenLeanDeg, trueLeanDeg, trueLength, worstAngleErrorDeg,
} from './camera-yaw.ts';
export { removeRoll } from './camera-roll.ts';
export { outOfPlaneScaleError } from './out-of-plane.ts';
export { BODY_FRACTION, SEGMENT_MASS, LIMB_MASS, kneeAngleFromSidesDeg, legLengthFromHeightM } from './body-fractions.ts';
export { KEYPOINT_SIGMA, keypointSimilarity } from './keypoint-similarity.ts';
