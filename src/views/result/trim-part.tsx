import { useId, useState } from 'react';
import styles from './trim-part.module.css';
import buttons from '../parts/buttons.module.css';
import type { Analysis } from '../../reading/reading.ts';
import type { Clip } from '../../state/session.ts';
import { useSession } from '../session-context.ts';

/** Shortest part that can hold a start, seconds; chosen: half of the shortest start known to us. */
const SHORTEST_S = 0.5;

/** Another part of the clip: from here to there, then measure that. */
export function TrimPart({ clip, analysis }: { readonly clip: Clip; readonly analysis: Analysis }) {
  const session = useSession();
  const fromId = useId();
  const toId = useId();
  const { durationS } = analysis.clip;
  const [fromS, setFrom] = useState(analysis.part.fromS);
  const [toS, setTo] = useState(Math.min(analysis.part.toS, durationS));
  const isLongEnough = toS - fromS >= Math.min(SHORTEST_S, durationS);
  const show = (t: number) => { session.playhead.seek(t); };
  return (
    <details className={styles['part']}>
      <summary>Another part of the clip</summary>
    <form
      className={styles['trim']}
      onSubmit={(event) => {
        event.preventDefault();
        session.rerun(clip.id, { trim: { fromS, toS } });
      }}
    >
      <p>
        {analysis.part.proposed ? 'This part was proposed' : 'You chose this part'}: {analysis.part.fromS.toFixed(1)} to {analysis.part.toS.toFixed(1)} s of {durationS.toFixed(1)} s.
      </p>
      <div className={styles['bar']} aria-hidden="true">
        <span style={{ insetInlineStart: `${(100 * fromS) / durationS}%`, insetInlineEnd: `${100 - (100 * toS) / durationS}%` }} />
      </div>
      <label htmlFor={fromId}>From {fromS.toFixed(1)} s</label>
      <input id={fromId} type="range" min={0} max={durationS} step={0.05} value={fromS} onChange={(event) => { const t = Number(event.target.value); setFrom(t); show(t); }} />
      <label htmlFor={toId}>To {toS.toFixed(1)} s</label>
      <input id={toId} type="range" min={0} max={durationS} step={0.05} value={toS} onChange={(event) => { const t = Number(event.target.value); setTo(t); show(t); }} />
      <p className={styles['ways']}>
        <button type="submit" className={buttons['tape']} disabled={!isLongEnough}>Measure this part</button>
        {!analysis.part.proposed && (
          <button type="button" className={buttons['quiet']} onClick={() => { session.rerun(clip.id, { trim: null });}}>
            Let Lungeline propose it
          </button>
        )}
      </p>
    </form>
    </details>
  );
}
