/** Drawings that are remembered; chosen: the last seconds of scrubbing. */
const REMEMBERED = 120;

/** How long the last drawings on the picture took, milliseconds. */
export interface DrawTimes {
  add(ms: number): void;
  /** Median of the last 120, null before the first. */
  medianMs(): number | null;
}

/** Times of drawing, none yet. */
export function createDrawTimes(): DrawTimes {
  const times: number[] = [];
  return {
    add(ms) {
      times.push(ms);
      if (times.length > REMEMBERED) times.shift();
    },
    medianMs: () => times.toSorted((a, b) => a - b)[Math.floor(times.length / 2)] ?? null,
  };
}
