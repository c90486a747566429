import { Link, useLocation, useParams } from 'wouter';
import { repsOf } from '../../athletelog/index.ts';
import type { Session } from '../../athletelog/index.ts';
import buttons from '../parts/buttons.module.css';
import { ChoiceChips, ManyChips } from '../parts/chips.tsx';
import { dayWords } from '../parts/day-words.ts';
import { InventedMark } from '../parts/invented.tsx';
import page from '../parts/page.module.css';
import { TextField } from '../parts/text-fields.tsx';
import { LEGS_CHOICES, SURFACE_CHOICES } from '../save/rep-fields.tsx';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { DayField } from './day-field.tsx';
import { AdviceLine } from '../session-advice/advice-line.tsx';
import { RepList, surfaceWords } from './rep-list.tsx';

/** One session: its reps in the order of the mat, and what is true of the whole day. */
export function SessionScreen() {
  const { id } = useParams<{ id: string }>();
  const session = useRecords((state) => state.log.sessions.find((each) => each.id === id));
  const status = useRecords((state) => state.status);
  if (session === undefined) {
    return <p className={page['page']}>{status === 'loading' ? 'Opening the records …' : <>This session is not here any more. <Link href="/sessions">All sessions</Link></>}</p>;
  }
  return <OneSession key={session.id} session={session} />;
}

function OneSession({ session }: { readonly session: Session }) {
  const records = useRecordsActions();
  const log = useRecords((state) => state.log);
  const [, go] = useLocation();
  const reps = repsOf(log, { sessionId: session.id });
  const ids = [...new Set([...session.present.map((each) => each.athleteId), ...reps.map((rep) => rep.athleteId)])];
  const present = ids.flatMap((id) => log.athletes.find((athlete) => athlete.id === id) ?? []);
  const change = (part: Partial<Session>) => { void records.changeSession(session.id, (now) => ({ ...now, ...part })); };
  const remove = async () => {
    const removed = await records.remove({ what: 'session', id: session.id });
    if (removed.ok) go('/sessions');
  };
  return (
    <div className={page['page']}>
      <header className={page['head']}>
        <h2>{dayWords(session.date)}{session.isInvented && <InventedMark />}</h2>
        <p className={page['ways']}>
          <Link href={`/sessions/${session.id}/by-hand`} className={buttons['quiet']}>Enter a rep by hand</Link>
        </p>
      </header>
      <p className={page['note']}>{session.place === '' ? 'Place not said' : session.place}, {surfaceWords(session.surfaces)}</p>
      {reps.length === 0 ? (
        <div className={page['empty']}>
          <p>No rep yet. Film a start, open the clip and tap “Save this rep”, or enter a rep by hand.</p>
          <p className={page['ways']}><Link href="/" className={buttons['quiet']}>To the clip</Link></p>
        </div>
      ) : (
        present.filter((athlete) => reps.some((rep) => rep.athleteId === athlete.id)).map((athlete) => (
          <section key={athlete.id} aria-label={`Reps of ${athlete.name}`}>
            <h3 className={page['name']}>
              <Link href={`/athletes/${athlete.id}`}>{athlete.name}</Link>
            </h3>
            <RepList label={`Reps of ${athlete.name}`} withNames={false} reps={reps.filter((rep) => rep.athleteId === athlete.id)} />
            <AdviceLine athleteId={athlete.id} sessionId={session.id} />
          </section>
        ))
      )}
      <section className={page['section']} aria-label="The day">
        <h3>The day</h3>
        <div className={page['fields']}>
          <DayField key={session.date} label="Date" day={session.date} onCommit={(date) => { change({ date }); }} />
          <TextField
            label="Place"
            text={session.place}
            maxLength={200}
            suggestions={[...new Set(log.sessions.map((each) => each.place))].filter((place) => place !== '')}
            onCommit={(place) => {
              change({ place });
              if (!session.isInvented) void records.remember({ place });
            }}
          />
        </div>
        <ManyChips
          legend="Surfaces"
          choices={SURFACE_CHOICES}
          chosen={session.surfaces}
          onChange={(surfaces) => {
            change({ surfaces });
            if (!session.isInvented) void records.remember({ surfaces });
          }}
        />
        <ManyChips
          legend="Who is here"
          choices={log.athletes.filter((athlete) => athlete.isInvented === session.isInvented || ids.includes(athlete.id)).map((athlete) => ({ value: athlete.id, word: athlete.name }))}
          chosen={session.present.map((each) => each.athleteId)}
          onChange={(chosen) => {
            change({ present: chosen.map((athleteId) => session.present.find((each) => each.athleteId === athleteId) ?? { athleteId, legs: null, floorPlan: null }) });
          }}
        />
        {session.present.map((each) => (
          <ChoiceChips
            key={each.athleteId}
            legend={`Legs of ${log.athletes.find((athlete) => athlete.id === each.athleteId)?.name ?? ''} before the session`}
            choices={LEGS_CHOICES}
            chosen={each.legs}
            onChoose={(legs) => { change({ present: session.present.map((other) => (other.athleteId === each.athleteId ? { ...other, legs } : other)) }); }}
          />
        ))}
        <TextField label="Note" text={session.note} isLong maxLength={4000} onCommit={(note) => { change({ note }); }} />
      </section>
      <p className={page['ways']}>
        <button type="button" className={`${buttons['quiet'] ?? ''} ${page['danger'] ?? ''}`} onClick={() => { void remove(); }}>Delete this session and its reps</button>
      </p>
    </div>
  );
}
