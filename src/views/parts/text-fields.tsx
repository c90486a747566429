import { useId, useState } from 'react';
import styles from './fields.module.css';

/** A line or an area of text; what was typed is handed on when the field is left or Enter is pressed. Give it a key that changes with the stored text. */
export function TextField({ label, text, isLong = false, suggestions = [], maxLength, onCommit }: {
  readonly label: string;
  readonly text: string;
  readonly isLong?: boolean;
  readonly suggestions?: readonly string[];
  readonly maxLength: number;
  readonly onCommit: (text: string) => void;
}) {
  const id = useId();
  const [typed, setTyped] = useState(text);
  const commit = () => { if (typed.trim() !== text) onCommit(typed.trim()); };
  return (
    <p className={styles['field']}>
      <label htmlFor={id} className={styles['label']}>{label}</label>
      {isLong ? (
        <textarea id={id} className={styles['area']} maxLength={maxLength} value={typed} onChange={(event) => { setTyped(event.target.value); }} onBlur={commit} />
      ) : (
        <input
          id={id}
          className={styles['input']}
          autoComplete="off"
          maxLength={maxLength}
          list={suggestions.length > 0 ? `${id}-list` : undefined}
          value={typed}
          onChange={(event) => { setTyped(event.target.value); }}
          onBlur={commit}
          onKeyDown={(event) => { if (event.key === 'Enter') commit(); }}
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

/** A number as a person types it, with comma or point; null when empty, undefined when it is none or outside the range. */
export function typedNumber(typed: string, from: number, to: number): number | null | undefined {
  const text = typed.trim().replace(',', '.');
  if (text === '') return null;
  const value = Number(text);
  return Number.isFinite(value) && value >= from && value <= to ? value : undefined;
}

/** A number with its unit in the label; empty means not taken. What does not fit is said and not handed on. */
export function NumberField({ label, value, from, to, note = '', onCommit }: {
  readonly label: string;
  readonly value: number | null;
  readonly from: number;
  readonly to: number;
  readonly note?: string;
  readonly onCommit: (value: number | null) => void;
}) {
  const id = useId();
  const [typed, setTyped] = useState(value === null ? '' : String(value));
  const [isWrong, setWrong] = useState(false);
  const commit = () => {
    const read = typedNumber(typed, from, to);
    setWrong(read === undefined);
    if (read !== undefined && read !== value) onCommit(read);
  };
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
        value={typed}
        onChange={(event) => { setTyped(event.target.value); }}
        onBlur={commit}
        onKeyDown={(event) => { if (event.key === 'Enter') commit(); }}
      />
      <span id={`${id}-note`} className={isWrong ? styles['wrong'] : styles['note']}>{isWrong ? `A number from ${from} to ${to}.` : note}</span>
    </p>
  );
}
