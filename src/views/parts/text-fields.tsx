import { useCallback, useEffect, useId, useRef, useState } from 'react';
import styles from './fields.module.css';

/** Rest after the last key before what was typed is handed on, milliseconds; chosen: a word is typed without a pause as long. */
const REST_MS = 600;

/** A line or an area of text. What was typed is handed on when typing rests, when the field is left, and when the screen or the page goes: nothing typed is lost. */
export function TextField({ label, text, isLong = false, isOnlyWhenLeft = false, suggestions = [], maxLength, onCommit }: {
  readonly label: string;
  readonly text: string;
  readonly isLong?: boolean;
  /** True for a field that adds something: half a word is not to be added. */
  readonly isOnlyWhenLeft?: boolean;
  readonly suggestions?: readonly string[];
  readonly maxLength: number;
  readonly onCommit: (text: string) => void;
}) {
  const id = useId();
  const [typed, setTyped] = useState(text);
  const [stored, setStored] = useState(text);
  const [isInside, setInside] = useState(false);
  if (text !== stored) {
    // A change from elsewhere shows, but never takes away what is being typed.
    setStored(text);
    if (!isInside) setTyped(text);
  }
  const commit = useCommit(text, onCommit);
  const parts = {
    id,
    maxLength,
    value: typed,
    onChange: (event: { readonly target: { readonly value: string } }) => {
      setTyped(event.target.value);
      commit.later(event.target.value, isOnlyWhenLeft ? null : REST_MS);
    },
    onFocus: () => { setInside(true); },
    onBlur: () => {
      setInside(false);
      commit.now();
    },
  };
  return (
    <p className={styles['field']}>
      <label htmlFor={id} className={styles['label']}>{label}</label>
      {isLong ? (
        <textarea {...parts} className={styles['area']} />
      ) : (
        <input
          {...parts}
          className={styles['input']}
          autoComplete="off"
          list={suggestions.length > 0 ? `${id}-list` : undefined}
          onKeyDown={(event) => { if (event.key === 'Enter') commit.now(); }}
        />
      )}
      {suggestions.length > 0 && (
        <datalist id={`${id}-list`}>
          {suggestions.map((each) => <option key={each} value={each} />)}
        </datalist>
      )}
    </p>
  );
}

/** Hands a typed text on once, `later` after a rest (null: only when asked) or `now`; also when the page is hidden and when the field goes. A text that is stored already is not handed on. */
function useCommit(stored: string, onCommit: (text: string) => void) {
  const waiting = useRef<{ readonly typed: string; readonly timer: ReturnType<typeof setTimeout> | null } | null>(null);
  const handOn = useRef<(typed: string) => void>(() => undefined);
  useEffect(() => {
    handOn.current = (typed) => { if (typed.trim() !== stored) onCommit(typed.trim()); };
  });
  const now = useCallback(() => {
    const last = waiting.current;
    waiting.current = null;
    if (last?.timer != null) clearTimeout(last.timer);
    if (last !== null) handOn.current(last.typed);
  }, []);
  const later = useCallback((typed: string, restMs: number | null) => {
    if (waiting.current?.timer != null) clearTimeout(waiting.current.timer);
    waiting.current = { typed, timer: restMs === null ? null : setTimeout(now, restMs) };
  }, [now]);
  useEffect(() => {
    const onHide = () => { if (document.visibilityState === 'hidden') now(); };
    document.addEventListener('visibilitychange', onHide);
    return () => {
      document.removeEventListener('visibilitychange', onHide);
      now();
    };
  }, [now]);
  return { now, later };
}

/** A number as a person types it, with comma or point; null when empty, undefined when it is none or outside the range. */
export function typedNumber(typed: string, from: number, to: number): number | null | undefined {
  const text = typed.trim().replace(',', '.');
  if (text === '') return null;
  const value = Number(text);
  return Number.isFinite(value) && value >= from && value <= to ? value : undefined;
}

/** A number with its unit in the label; empty means not taken. It is handed on as soon as it fits; what does not fit is said when the field is left. */
export function NumberField({ label, value, from, to, note = '', onCommit }: {
  readonly label: string;
  readonly value: number | null;
  readonly from: number;
  readonly to: number;
  readonly note?: string;
  readonly onCommit: (value: number | null) => void;
}) {
  const id = useId();
  const [typed, setTyped] = useState<string | null>(null);
  const [isLeft, setLeft] = useState(true);
  const isWrong = isLeft && typed !== null && typedNumber(typed, from, to) === undefined;
  return (
    <p className={styles['field']}>
      <label htmlFor={id} className={styles['label']}>{label}</label>
      <input
        id={id}
        className={`${styles['input'] ?? ''} ${styles['short'] ?? ''}`}
        inputMode="decimal"
        autoComplete="off"
        aria-invalid={isWrong}
        aria-describedby={`${id}-note`}
        value={typed ?? (value === null ? '' : String(value))}
        onChange={(event) => {
          setTyped(event.target.value);
          const read = typedNumber(event.target.value, from, to);
          if (read !== undefined && read !== value) onCommit(read);
        }}
        onFocus={() => { setLeft(false); }}
        onBlur={() => {
          setLeft(true);
          if (typed !== null && typedNumber(typed, from, to) !== undefined) setTyped(null);
        }}
      />
      <span id={`${id}-note`} className={isWrong ? styles['wrong'] : styles['note']}>{isWrong ? `A number from ${from} to ${to}.` : note}</span>
    </p>
  );
}
