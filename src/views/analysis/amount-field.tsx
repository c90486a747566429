import { useId, useState } from 'react';
import styles from './analysis.module.css';

/** A number typed by the coach with its unit; what is no number or out of range is said beside it and not taken. */
export function AmountField({ label, unit, value, min, max, step, onAmount, hint = null }: {
  readonly label: string;
  readonly unit: string;
  readonly value: number;
  readonly min: number;
  readonly max: number;
  readonly step: number;
  readonly onAmount: (value: number) => void;
  readonly hint?: string | null;
}) {
  const id = useId();
  const [typed, setTyped] = useState<string | null>(null);
  const wrong = typed !== null && readAmount(typed, min, max) === null;
  const decimals = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
  return (
    <span className={styles['field']}>
      <label htmlFor={id}>{label}</label>
      <span className={styles['amount']}>
        <input
          id={id}
          inputMode="decimal"
          value={typed ?? String(Number(value.toFixed(decimals)))}
          aria-invalid={wrong}
          aria-describedby={wrong || hint !== null ? `${id}-say` : undefined}
          onChange={(event) => {
            setTyped(event.target.value);
            const amount = readAmount(event.target.value, min, max);
            if (amount !== null) onAmount(amount);
          }}
          onKeyDown={(event) => {
            const by = event.key === 'ArrowUp' ? step : event.key === 'ArrowDown' ? -step : 0;
            if (by === 0) return;
            event.preventDefault();
            setTyped(null);
            onAmount(Math.min(Math.max(Number((value + by).toFixed(decimals)), min), max));
          }}
          onBlur={() => { setTyped(null); }}
        />
        {unit !== '' && <span aria-hidden="true">{unit}</span>}
      </span>
      {(wrong || hint !== null) && (
        <span id={`${id}-say`} className={wrong ? styles['wrong'] : styles['hint']}>{wrong ? `A number from ${min} to ${max}` : hint}</span>
      )}
    </span>
  );
}

/** A typed number with point or comma; null when it is none or outside the range. */
export function readAmount(text: string, min: number, max: number): number | null {
  const tidy = text.trim().replace(',', '.').replace('−', '-');
  if (!/^-?\d*\.?\d+$|^-?\d+\.$/.test(tidy)) return null;
  const value = Number(tidy);
  return value >= min && value <= max ? value : null;
}
