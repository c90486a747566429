import { Link } from 'wouter';
import styles from './session-advice.module.css';
import { useRecords } from '../records-context.ts';
import { adviceFor } from './advice-for.ts';

/** The first piece of advice for an athlete's session in one line, and the ways to the figures. */
export function AdviceLine({ athleteId, sessionId }: { readonly athleteId: string; readonly sessionId: string }) {
  const log = useRecords((state) => state.log);
  const rules = useRecords((state) => state.stopRules);
  const ladder = useRecords((state) => state.ladder);
  const [first] = adviceFor(log, athleteId, sessionId, rules, ladder);
  const where = `${encodeURIComponent(athleteId)}/${encodeURIComponent(sessionId)}`;
  return (
    <p className={styles['adviceLine']}>
      {first !== undefined && <strong>{first.say}</strong>}
      <Link href={`/stop/${where}`}>{first === undefined ? 'When to stop' : 'Why'}</Link>
      <Link href={`/marks/${where}`}>Marks</Link>
      <Link href={`/compare/of/${encodeURIComponent(athleteId)}`}>Is it faster?</Link>
    </p>
  );
}
