import styles from './transport.module.css';
import buttons from '../parts/buttons.module.css';
import { Icon } from '../parts/icon.tsx';
import type { Reading } from '../../reading/reading.ts';
import { stepFrame } from '../../state/step-frame.ts';
import type { OverlayMode } from '../../state/session.ts';
import { usePlayhead, useSession, useSessionState } from '../session-context.ts';

const RATES = [
  { rate: 0.25, word: '¼' },
  { rate: 0.5, word: '½' },
  { rate: 1, word: '1' },
] as const;

const OVERLAYS: readonly { readonly mode: OverlayMode; readonly word: string }[] = [
  { mode: 'moment', word: 'Shape' },
  { mode: 'trace', word: 'Trace' },
  { mode: 'off', word: 'Off' },
];

/** Play, step, speed, and what is drawn on the picture. */
export function Transport({ reading }: { readonly reading: Reading }) {
  const session = useSession();
  const isPlaying = usePlayhead((state) => state.isPlaying);
  const rate = usePlayhead((state) => state.rate);
  const overlay = useSessionState((state) => state.overlay);
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
          <button key={each.rate} type="button" aria-pressed={rate === each.rate} aria-label={`Speed ${each.rate}`} onClick={() => { session.playhead.setRate(each.rate); }}>
            {each.word}×
          </button>
        ))}
      </fieldset>
      <fieldset className={styles['choice']}>
        <legend className="visually-hidden">Drawing on the picture</legend>
        {OVERLAYS.map((each) => (
          <button key={each.mode} type="button" aria-pressed={overlay === each.mode} onClick={() => { session.setOverlay(each.mode); }}>
            {each.word}
          </button>
        ))}
      </fieldset>
    </div>
  );
}
