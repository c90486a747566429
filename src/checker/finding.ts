import type { MeasureId } from '../shapes/measure.ts';
import type { WhyNot } from '../units/why-not.ts';

/** Verdict on one measure; "too-close" when its interval straddles an edge of the band, never a fail. */
export type Verdict = 'in-band' | 'near' | 'too-close' | 'out' | 'not-measured';

/** One measure held against the coach's tolerance. */
export interface Finding {
  readonly measure: MeasureId;
  readonly verdict: Verdict;
  /** Which side of the band the value lies on; null when in band or not measured. */
  readonly side: 'below' | 'above' | null;
  readonly value: number | null;
  readonly ci95: readonly [number, number] | null;
  /** Target band of the profile in the measure's unit. */
  readonly band: readonly [number, number];
  /** Set when not measured; 'other-unit': measured, but in another unit than the band's, so it cannot be compared. */
  readonly why: WhyNot | 'other-unit' | null;
  /** Departure × importance × trust, 0 or more: orders the cues. */
  readonly weight: number;
}

/** What to say to the athlete about one finding. */
export interface Cue {
  readonly measure: MeasureId;
  readonly side: 'below' | 'above';
  /** Second person, plain words, what to do. */
  readonly text: string;
  /** The number behind it, phrased after the words, e.g. "Passé knee 92° ± 4°, aim 45–65°". */
  readonly figure: string;
}
