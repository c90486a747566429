/**
 * One standard deviation in seconds of the moment of an event that is only known to lie within half a frame of a frame
 * whose neighbours are `frameSpacingS` seconds away: spacing / √12, the uniform distribution. Throws RangeError unless positive.
 */
export function eventSdS(frameSpacingS: number): number {
  if (!(frameSpacingS > 0)) throw new RangeError(`frame spacing must be positive, got ${frameSpacingS}`);
  return frameSpacingS / Math.sqrt(12);
}

/** One standard deviation in seconds of the time between two such events: spacing / √6; never off by more than one spacing. */
export function durationSdS(frameSpacingS: number): number {
  return eventSdS(frameSpacingS) * Math.SQRT2;
}
