import { useId } from 'react';
import read from '../result/read-as.module.css';
import styles from './analysis.module.css';

/** One choice of a few words, written large on a line; the label stands small above it. */
export function Pick<T extends string>({ label, value, options, onPick }: {
  readonly label: string;
  readonly value: T;
  readonly options: readonly { readonly value: T; readonly word: string }[];
  readonly onPick: (value: T) => void;
}) {
  const id = useId();
  return (
    <span className={styles['pick']}>
      <label htmlFor={id}>{label}</label>
      <span className={read['pick']}>
        <select
          id={id}
          className={read['word']}
          value={value}
          onChange={(event) => {
            const chosen = options.find((option) => option.value === event.target.value);
            if (chosen !== undefined) onPick(chosen.value);
          }}
        >
          {options.map((option) => (
            <option key={option.value} value={option.value}>{option.word}</option>
          ))}
        </select>
      </span>
    </span>
  );
}
