import type { AnalysisRequest } from '../../workers/contract.ts';
import type { Analysis, Overrides } from '../reading/reading.ts';

/** What the engine gave for a clip: joint positions over time and facts of the clip, no picture. */
export interface ResultRow {
  /** Clip, engine and request as one text. */
  readonly key: string;
  readonly clipHash: string;
  /** Milliseconds since 1970: when it was last asked for. */
  readonly usedAt: number;
  readonly sizeBytes: number;
  /** When the clip was measured, ISO 8601. */
  readonly measuredAt: string;
  /** Reps that were saved from this clip: when one of them is deleted, the row goes too. */
  readonly repIds: readonly string[];
  readonly analysis: Analysis;
}

/** What is known of a clip that waits, beside its bytes. */
export interface WaitingFacts {
  readonly title: string;
  readonly request: AnalysisRequest;
  /** What the user had stated about it. */
  readonly stated: Overrides;
  /** The rep under which it is saved, null when under none. */
  readonly saved: { readonly repId: string; readonly athleteId: string } | null;
}

/** A clip in hand that has not been measured and seen yet; its bytes lie in the file called `id`. */
export interface WaitingRow extends WaitingFacts {
  readonly id: string;
  /** The page that has it in hand. */
  readonly tab: string;
  /** Counts up in the order of opening, over all pages. */
  readonly place: number;
  readonly fileName: string;
  readonly type: string;
  /** False while its bytes are still being copied. */
  readonly isWhole: boolean;
}
