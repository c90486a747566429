import type { Region, RunStart } from './contract.ts';

/** Whether two runs hold exactly the same region in a frame of each; regions are frames × 4, as in Followed. False where either has none. */
export function sameRegion(a: Float64Array, frameA: number, b: Float64Array, frameB: number): boolean {
  if (frameA < 0 || frameB < 0) return false;
  for (let k = 0; k < 4; k += 1) if (a[frameA * 4 + k] !== b[frameB * 4 + k]) return false;
  return true;
}

/** Regions of one person in one frame have their middles at most this share of their side apart. Chosen: they lie some hundredths apart, those of two people half a side and more. */
const SAME_PERSON = 0.15;

/** Whether who begins anew in a frame is on the person who was followed there before, by the regions of both; true where nobody was, false where nobody is. */
export function isSamePerson(before: Region | null, begun: Region | null): boolean {
  if (before === null || begun === null) return before === null;
  return Math.hypot(before.centreX - begun.centreX, before.centreY - begun.centreY) <= SAME_PERSON * Math.max(before.sidePx, begun.sidePx);
}

/** Frames running in which two runs must hold the same regions: a tracker remembers its last two. */
const RUNNING = 2;

/** Watches for the frame from which on the run that began there holds the same as this one. */
export class AgreementWatch {
  #running = 0;

  /** Tells it the region of one frame, null in a gap; true once this and the frame before agree with `next`. Frames must come in order. */
  isReached(next: RunStart | null, frame: number, region: Region | null): boolean {
    const place = next?.frames.indexOf(frame) ?? -1;
    const isSame = next !== null && region !== null && sameRegion(regionNumbers(region), 0, next.regions, place);
    this.#running = isSame ? this.#running + 1 : 0;
    return this.#running >= RUNNING;
  }
}

/** A region as four numbers, as in Followed. */
export function regionNumbers({ centreX, centreY, sidePx, rotationRad }: Region): Float64Array {
  return Float64Array.of(centreX, centreY, sidePx, rotationRad);
}
