import styles from '../result/cue-tape.module.css';
import own from './analysis.module.css';

/** The one sentence that a screen says first, on a strip of tape, with the figure behind it. */
export function Tape({ label, say, figure = null, children }: {
  /** Accessible name of the strip. */
  readonly label: string;
  readonly say: string;
  readonly figure?: string | null;
  readonly children?: React.ReactNode;
}) {
  return (
    <section className={styles['tape']} aria-label={label}>
      <p className={styles['cue']}>{say}</p>
      {figure !== null && <p className={own['figure']}>{figure}</p>}
      {children}
    </section>
  );
}
