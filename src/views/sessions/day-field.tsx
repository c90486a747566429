import { useId } from 'react';
import fields from '../parts/fields.module.css';

/** A calendar day; handed on as soon as it is a whole one. */
export function DayField({ label, day, onCommit }: { readonly label: string; readonly day: string; readonly onCommit: (day: string) => void }) {
  const id = useId();
  return (
    <p className={fields['field']}>
      <label htmlFor={id} className={fields['label']}>{label}</label>
      <input
        id={id}
        className={`${fields['input'] ?? ''} ${fields['short'] ?? ''}`}
        type="date"
        defaultValue={day}
        onChange={(event) => { if (/^\d{4}-\d{2}-\d{2}$/.test(event.target.value)) onCommit(event.target.value); }}
      />
    </p>
  );
}
