import type { WhyNot } from '../units/why-not.ts';

/** Ids of the key moments of a rep, in the order in which they usually happen (passe lies around launch). */
export const MOMENT_IDS = ['set', 'firstMove', 'launch', 'passe', 'plant', 'hands'] as const;

/** One key moment. */
export type MomentId = (typeof MOMENT_IDS)[number];

/** An instant with one standard deviation, seconds. */
export interface Instant {
  readonly t: number;
  readonly sd: number;
}

/** Where a moment's time comes from. */
export type Source = 'detected' | 'user';

/** A key moment in clip seconds with one standard deviation, never less than the frame spacing / √12; or why it is missing. */
export type Moment =
  | { readonly found: true; readonly t: number; readonly sd: number; readonly source: Source }
  | { readonly found: false; readonly why: WhyNot };

/** All key moments of a rep. */
export type Moments = Readonly<Record<MomentId, Moment>>;

/** A foot contact before the lunge: which foot, when it lands, and where its ankle is in pixels along the floor. */
export interface Step {
  readonly foot: 'left' | 'right';
  readonly t: number;
  readonly sd: number;
  readonly xPx: number;
}
