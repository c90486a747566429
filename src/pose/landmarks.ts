/**
 * The 33 body landmarks in model order (BlazePose topology; Bazarevsky et al. 2020, arXiv 2006.10204).
 * Left and right are the athlete's.
 */
export const LANDMARKS = [
  'nose',
  'leftEyeInner', 'leftEye', 'leftEyeOuter',
  'rightEyeInner', 'rightEye', 'rightEyeOuter',
  'leftEar', 'rightEar',
  'mouthLeft', 'mouthRight',
  'leftShoulder', 'rightShoulder',
  'leftElbow', 'rightElbow',
  'leftWrist', 'rightWrist',
  'leftPinky', 'rightPinky',
  'leftIndex', 'rightIndex',
  'leftThumb', 'rightThumb',
  'leftHip', 'rightHip',
  'leftKnee', 'rightKnee',
  'leftAnkle', 'rightAnkle',
  'leftHeel', 'rightHeel',
  'leftFootIndex', 'rightFootIndex',
] as const;

/** Name of one landmark. */
export type LandmarkName = (typeof LANDMARKS)[number];

/** Number of landmarks in a frame. */
export const LANDMARK_COUNT = LANDMARKS.length;

/** Position of a landmark in the model's order, 0 to 32. */
export const LANDMARK_INDEX = Object.fromEntries(
  LANDMARKS.map((name, index) => [name, index]),
) as Readonly<Record<LandmarkName, number>>;
