import { useState } from 'react';
import type { Athlete, AthleteLog } from '../../athletelog/index.ts';
import { repsOf } from '../../athletelog/index.ts';
import buttons from '../parts/buttons.module.css';
import fields from '../parts/fields.module.css';
import { useRecords, useRecordsActions } from '../records-context.ts';
import styles from './save-rep.module.css';

/** The athletes in the order in which they are likely to be meant: those of today's session first, the one just saved among them last tapped, then by name. */
export function likelyFirst(log: AthleteLog, sessionId: string | null, lastId: string | null): readonly Athlete[] {
  const today = new Set(sessionId === null ? [] : repsOf(log, { sessionId }).map((rep) => rep.athleteId));
  const rank = (athlete: Athlete): number => (athlete.id === lastId ? 0 : today.has(athlete.id) ? 1 : athlete.isInvented ? 3 : 2);
  return log.athletes.toSorted((a, b) => rank(a) - rank(b) || a.name.localeCompare(b.name));
}

/** Whose rep it is: one large target an athlete, and a field for a new one. */
export function AthleteChoice({ sessionId, legend, isBusy, onChoose }: {
  readonly sessionId: string | null;
  readonly legend: string;
  readonly isBusy: boolean;
  readonly onChoose: (athleteId: string) => void;
}) {
  const records = useRecordsActions();
  const log = useRecords((state) => state.log);
  const lastId = useRecords((state) => state.remembered.athleteId);
  const [name, setName] = useState('');
  const athletes = likelyFirst(log, sessionId, lastId);
  const add = async () => {
    const added = await records.addAthlete(name);
    if (!added.ok) return;
    setName('');
    onChoose(added.value.id);
  };
  return (
    <fieldset className={fields['group']} disabled={isBusy}>
      <legend>{legend}</legend>
      <div className={styles['athletes']}>
        {athletes.map((athlete) => (
          <button key={athlete.id} type="button" className={styles['athlete']} onClick={() => { onChoose(athlete.id); }}>
            {athlete.name}
            {athlete.isInvented && <span className={styles['invented']}>invented</span>}
          </button>
        ))}
      </div>
      <form
        className={styles['new']}
        onSubmit={(event) => {
          event.preventDefault();
          if (name.trim() !== '') void add();
        }}
      >
        <label className={fields['field']}>
          <span className={fields['label']}>{athletes.length === 0 ? 'Nickname of the athlete' : 'Someone new'}</span>
          <input className={fields['input']} autoComplete="off" maxLength={100} value={name} onChange={(event) => { setName(event.target.value); }} />
        </label>
        <button type="submit" className={buttons['quiet']} disabled={name.trim() === ''}>Add and choose</button>
      </form>
    </fieldset>
  );
}
