import type { Overrides } from '../reading/reading.ts';

/** What the user stated about one clip, with the steps back and forth. */
export interface History {
  readonly past: readonly Overrides[];
  readonly present: Overrides;
  readonly future: readonly Overrides[];
}

/** A history in which the user has stated nothing. */
export const EMPTY_HISTORY: History = { past: [], present: {}, future: [] };

/** Adds one statement; what had been undone is dropped. */
export function restate(history: History, next: Overrides): History {
  return { past: [...history.past, history.present], present: next, future: [] };
}

/** One step back; the same history when there is none. */
export function undo(history: History): History {
  const last = history.past.at(-1);
  if (last === undefined) return history;
  return { past: history.past.slice(0, -1), present: last, future: [history.present, ...history.future] };
}

/** One step forward; the same history when there is none. */
export function redo(history: History): History {
  const [next, ...rest] = history.future;
  if (next === undefined) return history;
  return { past: [...history.past, history.present], present: next, future: rest };
}
