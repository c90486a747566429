import { useState } from 'react';

/** Edits of a value with the way back, for as long as the screen stays. */
export interface TakeBack<T> {
  /** Hands on a changed value. Changes of the same field one after another, as while a number is typed, are taken back as one. */
  readonly change: (next: T, field?: string) => void;
  /** Takes the last change back; null when there is none. */
  readonly takeBack: (() => void) | null;
}

/** The way back for a value that the coach edits. */
export function useTakeBack<T>(value: T, onValue: (next: T) => void): TakeBack<T> {
  const [steps, setSteps] = useState<readonly { readonly before: T; readonly field: string | null }[]>([]);
  const last = steps.at(-1);
  return {
    change: (next, field) => {
      if (field === undefined || last?.field !== field) setSteps([...steps, { before: value, field: field ?? null }]);
      onValue(next);
    },
    takeBack: last === undefined ? null : () => {
      setSteps(steps.slice(0, -1));
      onValue(last.before);
    },
  };
}
