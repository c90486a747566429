import type { ReactNode } from 'react';
import buttons from '../parts/buttons.module.css';
import analysis from './analysis.module.css';
import styles from './rule-sheet.module.css';

/** Rules that the coach may edit, folded away: where they come from, the fields, the way back to the built-in ones; below, while there is one, the last change to take back. */
export function RuleSheet({ summary, isBuiltIn, onBuiltIn, takeBack, children }: {
  readonly summary: string;
  readonly isBuiltIn: boolean;
  readonly onBuiltIn: () => void;
  readonly takeBack: (() => void) | null;
  readonly children: ReactNode;
}) {
  return (
    <div className={styles['sheet']}>
      <details className={analysis['behind']}>
        <summary>{summary}</summary>
        <div className={styles['rules']}>
          <p className={analysis['text']}>All of these are common practice without a published source. They give advice and lock nothing.</p>
          {children}
          {!isBuiltIn && <button type="button" className={analysis['link']} onClick={onBuiltIn}>Back to the first rules</button>}
        </div>
      </details>
      {takeBack !== null && <button type="button" className={buttons['quiet']} onClick={takeBack}>Take back the last change</button>}
    </div>
  );
}

/** Things to tick, any number of them. */
export function Checks<T extends string>({ legend, choices, chosen, onToggle }: {
  readonly legend: string;
  readonly choices: readonly { readonly value: T; readonly word: string }[];
  readonly chosen: readonly T[];
  /** Called with the ticked ones, in the order in which they were ticked. */
  readonly onToggle: (chosen: readonly T[]) => void;
}) {
  return (
    <fieldset className={styles['checks']}>
      <legend>{legend}</legend>
      {choices.map(({ value, word }) => (
        <label key={value}>
          <input
            type="checkbox" checked={chosen.includes(value)}
            onChange={() => { onToggle(chosen.includes(value) ? chosen.filter((each) => each !== value) : [...chosen, value]); }}
          />
          {word}
        </label>
      ))}
    </fieldset>
  );
}
