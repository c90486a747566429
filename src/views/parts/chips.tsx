import styles from './fields.module.css';

/** Choices to tap, none or one of which holds; tapping the one that holds takes it back when `canBeNone`. */
export function ChoiceChips<T extends string>({ legend, choices, chosen, canBeNone = true, onChoose }: {
  readonly legend: string;
  readonly choices: readonly { readonly value: T; readonly word: string }[];
  readonly chosen: T | null;
  readonly canBeNone?: boolean;
  readonly onChoose: (value: T | null) => void;
}) {
  return (
    <fieldset className={styles['group']}>
      <legend>{legend}</legend>
      <div className={styles['chips']}>
        {choices.map(({ value, word }) => (
          <button key={value} type="button" className={styles['chip']} aria-pressed={chosen === value} onClick={() => { onChoose(chosen === value && canBeNone ? null : value); }}>
            {word}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

/** Choices to tap, any number of which hold. */
export function ManyChips<T extends string>({ legend, choices, chosen, onChange }: {
  readonly legend: string;
  readonly choices: readonly { readonly value: T; readonly word: string }[];
  readonly chosen: readonly T[];
  readonly onChange: (chosen: readonly T[]) => void;
}) {
  return (
    <fieldset className={styles['group']}>
      <legend>{legend}</legend>
      <div className={styles['chips']}>
        {choices.map(({ value, word }) => {
          const isOn = chosen.includes(value);
          return (
            <button key={value} type="button" className={styles['chip']} aria-pressed={isOn} onClick={() => { onChange(isOn ? chosen.filter((each) => each !== value) : [...chosen, value]); }}>
              {word}
            </button>
          );
        })}
      </div>
    </fieldset>
  );
}
