import { Link, useLocation } from 'wouter';
import { repsOf } from '../../athletelog/index.ts';
import type { AthleteLog, Session } from '../../athletelog/index.ts';
import { dayOf, sessionOn, sessionsSinceBackup, SESSIONS_PER_BACKUP } from '../../state/records.ts';
import buttons from '../parts/buttons.module.css';
import { dayWords } from '../parts/day-words.ts';
import { InventedMark, InventedNote } from '../parts/invented.tsx';
import { LoadInvented } from '../parts/load-invented.tsx';
import page from '../parts/page.module.css';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { saveBackupFile } from './save-backup-file.ts';
import styles from './sessions-screen.module.css';

/** Names of who has reps in a session, in the order of their first one. */
function namesIn(log: AthleteLog, session: Session): string {
  const ids = new Set(repsOf(log, { sessionId: session.id }).map((rep) => rep.athleteId));
  return log.athletes.filter((athlete) => ids.has(athlete.id)).map((athlete) => athlete.name).join(', ');
}

/** Every session, newest first; today's one tap away. */
export function SessionsScreen() {
  const records = useRecordsActions();
  const log = useRecords((state) => state.log);
  const status = useRecords((state) => state.status);
  const since = useRecords(sessionsSinceBackup);
  const [, go] = useLocation();
  const today = sessionOn(log, dayOf(new Date()));
  const sessions = log.sessions.toSorted((a, b) => (a.date < b.date ? 1 : -1));
  const start = async () => {
    const session = today ?? (await records.addSession(dayOf(new Date())).then((added) => (added.ok ? added.value : null)));
    if (session !== null) go(`/sessions/${session.id}`);
  };
  return (
    <div className={page['page']}>
      <header className={page['head']}>
        <h2>Sessions</h2>
        {status === 'ready' && (
          <button type="button" className={buttons['tape']} onClick={() => { void start(); }}>{today === null ? 'Start today’s session' : 'Today’s session'}</button>
        )}
      </header>
      <InventedNote />
      {since >= SESSIONS_PER_BACKUP && (
        <p className={page['remind']}>
          <span>{since} sessions since the last backup. A backup file keeps them if this device is lost or its browser cleared.</span>
          <button type="button" className={buttons['quiet']} onClick={() => { void saveBackupFile(records); }}>Save a backup</button>
        </p>
      )}
      {sessions.length === 0 ? (
        <div className={page['empty']}>
          <p>No session yet. Open a clip and save its rep: the session of the day is made by itself.</p>
          <p className={page['ways']}>
            <Link href="/" className={buttons['quiet']}>To the clip</Link>
            {status === 'ready' && <LoadInvented />}
          </p>
        </div>
      ) : (
        <ol className={styles['list']} aria-label="Sessions, newest first">
          {sessions.map((session) => {
            const reps = repsOf(log, { sessionId: session.id });
            return (
              <li key={session.id}>
                <Link href={`/sessions/${session.id}`} className={styles['row']}>
                  <span className={styles['day']}>{dayWords(session.date)}</span>
                  <span className={styles['count']}>{reps.length}<small> {reps.length === 1 ? 'rep' : 'reps'}</small></span>
                  <span className={styles['who']}>{namesIn(log, session)}</span>
                  <span className={styles['place']}>{session.place}{session.isInvented && <InventedMark />}</span>
                </Link>
              </li>
            );
          })}
        </ol>
      )}
    </div>
  );
}
