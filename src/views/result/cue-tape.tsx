import { useEffect, useRef } from 'react';
import styles from './cue-tape.module.css';
import { noCueWords } from '../../cues/index.ts';
import type { Reading } from '../../reading/reading.ts';
import { momentOfMeasure } from '../../state/moment-of-measure.ts';
import { useSession } from '../session-context.ts';

/** The one thing to say to the athlete, on a strip of tape; the rest behind one tap. */
export function CueTape({ reading }: { readonly reading: Reading }) {
  const session = useSession();
  const [lead, ...rest] = reading.cues;
  const cue = useRef<HTMLHeadingElement>(null);
  // The work is over and its screen is gone: whoever listens or uses keys goes on at the cue.
  useEffect(() => {
    if (document.activeElement === document.body) cue.current?.focus({ preventScroll: true });
  }, []);
  return (
    <section className={styles['tape']} aria-label="What to change">
      <div className={styles['say']}>
        <h2 ref={cue} tabIndex={-1} className={styles['cue']}>{lead?.text ?? noCueWords(reading.findings)}</h2>
        {lead !== undefined && (
          <button type="button" className={styles['figure']} onClick={() => { session.showMoment(momentOfMeasure(lead.measure), lead.measure); }}>
            {lead.figure}
          </button>
        )}
      </div>
      {rest.length > 0 && (
        <details className={styles['rest']}>
          <summary>{rest.length === 1 ? 'One more thing' : `${rest.length} more things`}, for later</summary>
          <ol>
            {rest.map((cue) => (
              <li key={cue.measure}>
                <p>{cue.text}</p>
                <button type="button" className={styles['figure']} onClick={() => { session.showMoment(momentOfMeasure(cue.measure), cue.measure); }}>
                  {cue.figure}
                </button>
              </li>
            ))}
          </ol>
        </details>
      )}
    </section>
  );
}
