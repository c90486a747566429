import { useState } from 'react';
import { Link, useParams } from 'wouter';
import styles from './analysis.module.css';
import buttons from '../parts/buttons.module.css';
import { repsOf, type Athlete, type AthleteLog } from '../../athletelog/index.ts';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { dayText } from './amounts.ts';
import { Empty } from './empty.tsx';
import { Pick } from './pick.tsx';

interface AthleteFrameProps {
  /** What the screen shows, for the sentence that stands there while there is nobody to show. */
  readonly title: string;
  readonly todo: string;
  /** True gives a choice of the session too; the newest one with a rep of the athlete comes first. */
  readonly hasSession?: boolean;
  readonly children: (chosen: { readonly log: AthleteLog; readonly athlete: Athlete; readonly sessionId: string | null }) => React.ReactNode;
}

/** Around every screen about one athlete: who it is about, and which session; says what to do while there is nobody. */
export function AthleteFrame({ title, todo, hasSession = false, children }: AthleteFrameProps) {
  const records = useRecordsActions();
  const status = useRecords((state) => state.status);
  const log = useRecords((state) => state.log);
  const remembered = useRecords((state) => state.remembered.athleteId);
  const asked = useParams<{ readonly athleteId?: string; readonly sessionId?: string }>();
  const [picked, setPicked] = useState<string | null>(null);
  const [pickedSession, setPickedSession] = useState<string | null>(asked.sessionId ?? null);
  if (status === 'loading') return <p className={styles['loading']} role="status">Opening what is kept on this device</p>;
  const withReps = log.athletes.filter((athlete) => log.reps.some((rep) => rep.athleteId === athlete.id));
  const athlete = [picked, asked.athleteId, remembered].flatMap((id) => log.athletes.find((each) => each.id === id) ?? [])[0] ?? withReps.at(-1) ?? log.athletes.at(-1);
  if (athlete === undefined) {
    return <Empty title={title} todo={todo} action={<Link href="/athletes" className={buttons['tape'] ?? ''}>Add an athlete</Link>} />;
  }
  const sessions = log.sessions
    .filter((session) => repsOf(log, { athleteId: athlete.id, sessionId: session.id }).length > 0)
    .toSorted((a, b) => b.date.localeCompare(a.date));
  const sessionId = sessions.find((session) => session.id === pickedSession)?.id ?? sessions[0]?.id ?? null;
  return (
    <div className={styles['framed']} key={athlete.id}>
      <div className={styles['who']}>
        <Pick
          label="Athlete" value={athlete.id} options={log.athletes.map((each) => ({ value: each.id, word: each.name }))}
          onPick={(id) => {
            setPicked(id);
            setPickedSession(null);
            void records.remember({ athleteId: id });
          }}
        />
        {hasSession && sessionId !== null && (
          <Pick
            label="Session" value={sessionId}
            options={sessions.map((session) => ({ value: session.id, word: [dayText(session.date), session.place].filter((part) => part !== '').join(', ') }))}
            onPick={setPickedSession}
          />
        )}
      </div>
      {children({ log, athlete, sessionId })}
    </div>
  );
}
