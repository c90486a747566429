import styles from './read-as.module.css';
import type { Overrides, Reading } from '../../reading/reading.ts';
import type { Choice } from '../../starts/choice.ts';
import { otherSide, START_IDS, START_NAMES, type StartId } from '../../starts/start.ts';
import { Icon } from '../parts/icon.tsx';
import type { Clip } from '../../state/session.ts';
import { useSession } from '../session-context.ts';

/** How sure a proposal is, in a word. */
function surenessWord(choice: Choice<unknown>): string {
  if (choice.source === 'user') return 'you chose';
  if (choice.confidence >= 0.85) return 'clear';
  return choice.confidence >= 0.6 ? 'likely' : 'unsure';
}

/** What the clip was read as, in one sentence; each part is a proposal that one tap changes. */
export function ReadAs({ clip, reading }: { readonly clip: Clip; readonly reading: Reading }) {
  const session = useSession();
  const say = (part: Overrides) => { session.state(clip.id, { ...clip.history.present, ...part }); };
  const isTowardRight = reading.direction.value === 'left-to-right';
  const isYours = [reading.start, reading.lead, reading.direction].some((choice) => choice.source === 'user');
  return (
    <section className={styles['read']} aria-label="Read as">
      <p className={styles['sentence']}>
        <span className={styles['choice']}>
          <label className={styles['pick']}>
            <span className="visually-hidden">Start</span>
            <select className={styles['word']} value={reading.start.value} onChange={(event) => { say({ start: event.target.value as StartId }); }}>
              {START_IDS.map((id) => (
                <option key={id} value={id}>{START_NAMES[id]}</option>
              ))}
            </select>
          </label>
          <Sureness choice={reading.start} />
        </span>
        <span className={styles['choice']}>
          <button
            type="button"
            className={styles['word']}
            aria-label={`${reading.lead.value} leg leads; change to ${otherSide(reading.lead.value)}`}
            onClick={() => { say({ lead: otherSide(reading.lead.value) }); }}
          >
            {reading.lead.value} leg leads <Icon name="swap" />
          </button>
          <Sureness choice={reading.lead} />
        </span>
        <span className={styles['choice']}>
          <button
            type="button"
            className={styles['word']}
            aria-label={`travels ${isTowardRight ? 'right' : 'left'}; change to ${isTowardRight ? 'left' : 'right'}`}
            onClick={() => { say({ direction: isTowardRight ? 'right-to-left' : 'left-to-right' }); }}
          >
            travels {isTowardRight ? 'right' : 'left'} <Icon name="swap" />
          </button>
          <Sureness choice={reading.direction} />
        </span>
      </p>
      {isYours && (
        <button
          type="button"
          className={styles['back']}
          onClick={() => {
            const { start: _start, lead: _lead, direction: _direction, ...rest } = clip.history.present;
            session.state(clip.id, rest);
          }}
        >
          Back to what the clip shows
        </button>
      )}
    </section>
  );
}

function Sureness({ choice }: { readonly choice: Choice<unknown> }) {
  const word = surenessWord(choice);
  return (
    <span className={choice.source === 'user' ? styles['yours'] : styles['sure']} title={choice.source === 'user' ? undefined : `${Math.round(choice.confidence * 100)} % sure`}>
      {word}
    </span>
  );
}
