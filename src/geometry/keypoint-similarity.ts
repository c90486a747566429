/** Spread constants of the 17 body keypoints of the COCO key-point task, by name (Lin et al. 2014, ECCV). */
export const KEYPOINT_SIGMA = {
  nose: 0.026,
  leftEye: 0.025, rightEye: 0.025,
  leftEar: 0.035, rightEar: 0.035,
  leftShoulder: 0.079, rightShoulder: 0.079,
  leftElbow: 0.072, rightElbow: 0.072,
  leftWrist: 0.062, rightWrist: 0.062,
  leftHip: 0.107, rightHip: 0.107,
  leftKnee: 0.087, rightKnee: 0.087,
  leftAnkle: 0.089, rightAnkle: 0.089,
} as const;

/** Likeness 0 to 1 of a found keypoint `distancePx` from the true one on a person who covers `areaPx2` square pixels: exp(−d² / (2 · area · (2σ)²)). Throws RangeError unless area and sigma are positive. */
export function keypointSimilarity(distancePx: number, areaPx2: number, sigma: number): number {
  if (!(areaPx2 > 0 && sigma > 0)) throw new RangeError(`area and sigma must be positive, got ${areaPx2} and ${sigma}`);
  return Math.exp(-(distancePx ** 2) / (2 * areaPx2 * (2 * sigma) ** 2));
}
