import { CAUTION_SHORT, CAUTIONS, START_CAUTIONS } from '../../cues/index.ts';
import type { StartId } from '../../starts/start.ts';
import styles from './cautions.module.css';

/** What every screen with a result says about safety: one line, and the rest behind it. */
export function Cautions({ start = null }: { readonly start?: StartId | null }) {
  return (
    <details className={styles['cautions']}>
      <summary>
        {CAUTION_SHORT}
      </summary>
      <ul>
        {CAUTIONS.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
        {start !== null && START_CAUTIONS[start] !== null && <li>{START_CAUTIONS[start]}</li>}
      </ul>
    </details>
  );
}
