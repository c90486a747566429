import { useState } from 'react';
import { Link, useLocation } from 'wouter';
import { repsOf } from '../../athletelog/index.ts';
import { START_NAMES } from '../../starts/start.ts';
import buttons from '../parts/buttons.module.css';
import { dayWords } from '../parts/day-words.ts';
import fields from '../parts/fields.module.css';
import { InventedMark, InventedNote } from '../parts/invented.tsx';
import { LoadInvented } from '../parts/load-invented.tsx';
import page from '../parts/page.module.css';
import { useRecords, useRecordsActions } from '../records-context.ts';
import styles from './athletes-screen.module.css';

/** Every athlete, and the field that adds one. */
export function AthletesScreen() {
  const records = useRecordsActions();
  const log = useRecords((state) => state.log);
  const status = useRecords((state) => state.status);
  const [, go] = useLocation();
  const [name, setName] = useState('');
  const [group, setGroup] = useState<string | null>(null);
  const groups = [...new Set(log.athletes.flatMap((athlete) => athlete.groups))].toSorted((a, b) => a.localeCompare(b));
  const athletes = log.athletes.filter((athlete) => group === null || athlete.groups.includes(group)).toSorted((a, b) => a.name.localeCompare(b.name));
  const dates = new Map(log.sessions.map((session) => [session.id, session.date]));
  const add = async () => {
    const added = await records.addAthlete(name);
    if (added.ok) go(`/athletes/${added.value.id}`);
  };
  return (
    <div className={page['page']}>
      <header className={page['head']}><h2>Athletes</h2></header>
      <InventedNote />
      {status === 'ready' && (
        <form
          className={styles['add']}
          onSubmit={(event) => {
            event.preventDefault();
            if (name.trim() !== '') void add();
          }}
        >
          <label className={fields['field']}>
            <span className={fields['label']}>Nickname of a new athlete</span>
            <input className={fields['input']} autoComplete="off" maxLength={100} value={name} onChange={(event) => { setName(event.target.value); }} />
          </label>
          <button type="submit" className={buttons['tape']} disabled={name.trim() === ''}>Add</button>
        </form>
      )}
      {groups.length > 0 && (
        <div className={fields['chips']} role="group" aria-label="Groups">
          {groups.map((each) => (
            <button key={each} type="button" className={fields['chip']} aria-pressed={group === each} onClick={() => { setGroup(group === each ? null : each); }}>{each}</button>
          ))}
        </div>
      )}
      {athletes.length === 0 ? (
        <div className={page['empty']}>
          <p>No athlete yet. A nickname is enough; nothing else has to be stored, and nothing leaves this device.</p>
          {status === 'ready' && <p className={page['ways']}><LoadInvented /></p>}
        </div>
      ) : (
        <ul className={styles['list']} aria-label="Athletes">
          {athletes.map((athlete) => {
            const reps = repsOf(log, { athleteId: athlete.id });
            const last = reps.at(-1);
            const lastDay = last === undefined ? undefined : dates.get(last.sessionId);
            return (
              <li key={athlete.id}>
                <Link href={`/athletes/${athlete.id}`} className={styles['row']}>
                  <span className={styles['name']}>{athlete.name}{athlete.isInvented && <InventedMark />}</span>
                  <span className={styles['facts']}>
                    {START_NAMES[athlete.usualStart]}, {athlete.lead === null ? 'lead leg not known' : `${athlete.lead} leg leads`}
                    {athlete.groups.length > 0 && `, ${athlete.groups.join(', ')}`}
                  </span>
                  <span className={styles['count']}>{reps.length}<small> {reps.length === 1 ? 'rep' : 'reps'}</small></span>
                  <span className={styles['last']}>{lastDay === undefined ? '' : `last ${dayWords(lastDay)}`}</span>
                </Link>
              </li>
            );
          })}
        </ul>
      )}
    </div>
  );
}
