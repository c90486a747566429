import styles from './read-before.module.css';
import { dayOf } from '../../state/records.ts';
import type { Clip } from '../../state/session.ts';
import { dayWords } from '../parts/day-words.ts';
import { useSession } from '../session-context.ts';

/** Says that a result was measured earlier and opened from this device, and offers to measure anew; nothing when it was measured now. */
export function ReadBefore({ clip }: { readonly clip: Clip }) {
  const session = useSession();
  if (clip.measuredAt === null) return null;
  const day = dayWords(dayOf(new Date(clip.measuredAt)));
  return (
    <p className={styles['before']}>
      <span>Read before, on {day}: opened from this device.</span>
      <button type="button" onClick={() => { session.rerun(clip.id, {}); }}>Measure anew</button>
    </p>
  );
}
