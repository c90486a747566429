/** Relative error of a length measured `offM` metres nearer to the camera than the plane in which the scale was set, camera at `cameraM` metres: dz / (D − dz). Throws RangeError unless the camera lies beyond. */
export function outOfPlaneScaleError(cameraM: number, offM: number): number {
  if (!(cameraM > offM)) throw new RangeError(`camera must lie beyond the offset, got ${cameraM} m and ${offM} m`);
  return offM / (cameraM - offM);
}
