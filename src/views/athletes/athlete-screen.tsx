import { useState } from 'react';
import { Link, useLocation, useParams } from 'wouter';
import { repsOf } from '../../athletelog/index.ts';
import type { Athlete, Growth } from '../../athletelog/index.ts';
import { START_IDS, START_NAMES } from '../../starts/start.ts';
import { dayOf } from '../../state/records.ts';
import buttons from '../parts/buttons.module.css';
import { ChoiceChips, ManyChips } from '../parts/chips.tsx';
import { dayWords } from '../parts/day-words.ts';
import { InventedMark } from '../parts/invented.tsx';
import page from '../parts/page.module.css';
import { NumberField, TextField } from '../parts/text-fields.tsx';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { DayField } from '../sessions/day-field.tsx';
import { RepList } from '../sessions/rep-list.tsx';
import styles from './athlete-screen.module.css';

/** One athlete: what is known, how they grew, and every rep. */
export function AthleteScreen() {
  const { id } = useParams<{ id: string }>();
  const athlete = useRecords((state) => state.log.athletes.find((each) => each.id === id));
  const status = useRecords((state) => state.status);
  if (athlete === undefined) {
    return <p className={page['page']}>{status === 'loading' ? 'Opening the records …' : <>This athlete is not here any more. <Link href="/athletes">All athletes</Link></>}</p>;
  }
  return <OneAthlete key={athlete.id} athlete={athlete} />;
}

function OneAthlete({ athlete }: { readonly athlete: Athlete }) {
  const records = useRecordsActions();
  const log = useRecords((state) => state.log);
  const [, go] = useLocation();
  const [group, setGroup] = useState(0);
  const reps = repsOf(log, { athleteId: athlete.id });
  const sessions = log.sessions.filter((session) => reps.some((rep) => rep.sessionId === session.id)).toSorted((a, b) => (a.date < b.date ? 1 : -1));
  const groups = [...new Set(log.athletes.flatMap((each) => each.groups))].toSorted((a, b) => a.localeCompare(b));
  const change = (part: Partial<Athlete>) => { void records.changeAthlete(athlete.id, (now) => ({ ...now, ...part })); };
  const remove = async () => {
    const removed = await records.remove({ what: 'athlete', id: athlete.id });
    if (removed.ok) go('/athletes');
  };
  return (
    <div className={page['page']}>
      <header className={page['head']}>
        <h2>{athlete.name}{athlete.isInvented && <InventedMark />}</h2>
      </header>
      {sessions.length === 0 ? (
        <div className={page['empty']}>
          <p>No rep of {athlete.name} yet. Open a clip, tap “Save this rep”, then “{athlete.name}”.</p>
          <p className={page['ways']}><Link href="/" className={buttons['quiet']}>To the clip</Link></p>
        </div>
      ) : (
        sessions.slice(0, 3).map((session) => (
          <section key={session.id} aria-label={`Reps of ${dayWords(session.date)}`}>
            <h3 className={page['name']}><Link href={`/sessions/${session.id}`}>{dayWords(session.date)}</Link></h3>
            <RepList label={`Reps of ${dayWords(session.date)}`} withNames={false} reps={reps.filter((rep) => rep.sessionId === session.id)} />
          </section>
        ))
      )}
      {sessions.length > 3 && (
        <details className={styles['earlier']}>
          <summary>{sessions.length - 3} earlier sessions</summary>
          <ul>
            {sessions.slice(3).map((session) => (
              <li key={session.id}>
                <Link href={`/sessions/${session.id}`}>{dayWords(session.date)}, {reps.filter((rep) => rep.sessionId === session.id).length} reps</Link>
              </li>
            ))}
          </ul>
        </details>
      )}
      <section className={page['section']} aria-label="About the athlete">
        <h3>About {athlete.name}</h3>
        <div className={page['fields']}>
          <TextField label="Nickname" text={athlete.name} maxLength={100} onCommit={(name) => { if (name !== '') change({ name }); }} />
        </div>
        <ChoiceChips legend="Lead leg: the one they lunge onto" choices={[{ value: 'left' as const, word: 'Left' }, { value: 'right' as const, word: 'Right' }]} chosen={athlete.lead} onChoose={(lead) => { change({ lead }); }} />
        <ChoiceChips legend="Usual start" canBeNone={false} choices={START_IDS.map((value) => ({ value, word: START_NAMES[value] }))} chosen={athlete.usualStart} onChoose={(usualStart) => { if (usualStart !== null) change({ usualStart }); }} />
        {groups.length > 0 && <ManyChips legend="Groups" choices={groups.map((value) => ({ value, word: value }))} chosen={athlete.groups} onChange={(chosen) => { change({ groups: chosen }); }} />}
        <div className={page['fields']}>
          <TextField
            key={`group ${group}`}
            label="Another group"
            text=""
            isOnlyWhenLeft
            maxLength={100}
            onCommit={(added) => {
              if (added === '' || athlete.groups.includes(added)) return;
              change({ groups: [...athlete.groups, added] });
              setGroup(group + 1);
            }}
          />
        </div>
        <TextField label="Note" text={athlete.note} isLong maxLength={4000} onCommit={(note) => { change({ note }); }} />
      </section>
      <GrowthTable athlete={athlete} onChange={(growth) => { change({ growth }); }} />
      <p className={page['ways']}>
        <button type="button" className={`${buttons['quiet'] ?? ''} ${page['danger'] ?? ''}`} onClick={() => { void remove(); }}>
          Delete {athlete.name}{reps.length > 0 && `, with ${reps.length === 1 ? '1 rep' : `${reps.length} reps`}`}
        </button>
      </p>
    </div>
  );
}

/** Height and leg length with their days; metres of a rep come from the height on its day. */
function GrowthTable({ athlete, onChange }: { readonly athlete: Athlete; readonly onChange: (growth: readonly Growth[]) => void }) {
  const [date, setDate] = useState(dayOf(new Date()));
  const [heightCm, setHeight] = useState<number | null>(null);
  const [legCm, setLeg] = useState<number | null>(null);
  const [round, setRound] = useState(0);
  const rows = athlete.growth.toSorted((a, b) => (a.date < b.date ? 1 : -1));
  const add = () => {
    if (heightCm === null && legCm === null) return;
    const row: Growth = { date, heightM: heightCm === null ? null : heightCm / 100, legLengthM: legCm === null ? null : legCm / 100 };
    onChange([...athlete.growth.filter((each) => each.date !== date), row]);
    setHeight(null);
    setLeg(null);
    setRound(round + 1);
  };
  return (
    <section className={page['section']} aria-label="Growth">
      <h3>Growth</h3>
      <p className={page['note']}>Metres of a rep come from the height on its day. Measure a growing athlete again every three months. Leg length: hip joint to ankle joint.</p>
      {rows.length > 0 && (
        <table className={styles['growth']}>
          <thead><tr><th scope="col">Day</th><th scope="col">Height</th><th scope="col">Leg length</th><th scope="col"><span className="visually-hidden">Remove</span></th></tr></thead>
          <tbody>
            {rows.map((row) => (
              <tr key={row.date}>
                <th scope="row">{dayWords(row.date)}</th>
                <td>{row.heightM === null ? '–' : `${Math.round(row.heightM * 100)} cm`}</td>
                <td>{row.legLengthM === null ? '–' : `${(row.legLengthM * 100).toFixed(1)} cm`}</td>
                <td><button type="button" className={buttons['bare']} onClick={() => { onChange(athlete.growth.filter((each) => each.date !== row.date)); }}>Remove</button></td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <form
        key={round}
        className={page['fields']}
        onSubmit={(event) => {
          event.preventDefault();
          add();
        }}
      >
        <DayField label="Day" day={date} onCommit={setDate} />
        <NumberField label="Height, cm" value={heightCm} from={80} to={220} onCommit={setHeight} />
        <NumberField label="Leg length, cm" value={legCm} from={30} to={120} onCommit={setLeg} />
        <p className={styles['addRow']}><button type="submit" className={buttons['quiet']} disabled={heightCm === null && legCm === null}>Add to growth</button></p>
      </form>
    </section>
  );
}
