const DEG_PER_RAD = 180 / Math.PI;

/** Radians as degrees; any sign and size. */
export function degreesOf(radians: number): number {
  return radians * DEG_PER_RAD;
}

/** Degrees as radians; any sign and size. */
export function radiansOf(degrees: number): number {
  return degrees / DEG_PER_RAD;
}

/** The same direction in degrees brought into (−180, 180]; NaN stays NaN. */
export function wrapDeg(degrees: number): number {
  const turned = degrees % 360;
  if (turned > 180) return turned - 360;
  if (turned <= -180) return turned + 360;
  return turned;
}
