import styles from './transport.module.css';
import buttons from '../parts/buttons.module.css';
import { Icon } from '../parts/icon.tsx';
import type { Reading } from '../../reading/reading.ts';
import { stepFrame } from '../../state/step-frame.ts';
import { usePlayhead, useSession } from '../session-context.ts';

const RATES = [
  { rate: 0.25, word: '¼' },
  { rate: 0.5, word: '½' },
  { rate: 1, word: '1' },
] as const;

/** Play, step and speed. */
export function Transport({ reading }: { readonly reading: Reading }) {
  const session = useSession();
  const isPlaying = usePlayhead((state) => state.isPlaying);
  const rate = usePlayhead((state) => state.rate);
  return (
    <div className={styles['transport']}>
      <button type="button" className={buttons['bare']} aria-label="One frame back" onClick={() => { stepFrame(session.playhead, reading.track, -1); }}>
        <Icon name="back" />
      </button>
      <button type="button" className={buttons['bare']} aria-label={isPlaying ? 'Pause' : 'Play'} onClick={() => { session.playhead.toggle(); }}>
        <Icon name={isPlaying ? 'pause' : 'play'} />
      </button>
      <button type="button" className={buttons['bare']} aria-label="One frame on" onClick={() => { stepFrame(session.playhead, reading.track, 1); }}>
        <Icon name="on" />
      </button>
      <fieldset className={styles['choice']}>
        <legend className="visually-hidden">Speed</legend>
        {RATES.map((each) => (
          <button key={each.rate} type="button" aria-pressed={rate === each.rate} aria-label={`Speed ${each.word}×`} onClick={() => { session.playhead.setRate(each.rate); }}>
            {each.word}×
          </button>
        ))}
      </fieldset>
    </div>
  );
}
