import { useState } from 'react';
import styles from './sides-bar.module.css';
import buttons from '../parts/buttons.module.css';
import { MOMENT_WORDS } from '../../cues/index.ts';
import type { LimbPart } from '../../pose/exchange-sides.ts';
import { swapOf, type HandSwap } from '../../pose/swap-by-hand.ts';
import type { Reading } from '../../reading/reading.ts';
import { otherSide } from '../../starts/start.ts';
import { momentsInOrder } from '../../state/moments-in-order.ts';
import { nearestFrame } from '../../state/step-frame.ts';
import type { Clip } from '../../state/session.ts';
import { Icon } from '../parts/icon.tsx';
import { useSession } from '../session-context.ts';
import { addSwap, dropSwap } from './swap-sides.ts';

const PART_WORDS: Readonly<Record<LimbPart, string>> = { legs: 'Legs', arms: 'Arms' };

/** A stretch of the clip in words. */
export function stretchWords({ fromS, toS }: Pick<HandSwap, 'fromS' | 'toS'>): string {
  const from = fromS === null ? 'the first frame' : `${fromS.toFixed(2)} s`;
  const to = toS === null ? 'the last frame' : `${toS.toFixed(2)} s`;
  return fromS === null && toS === null ? 'in the whole clip' : `from ${from} to ${to}`;
}

/** Which leg is drawn in which colour, and the way to exchange left and right where they are wrong: in the whole clip, or between two frames. */
export function SidesBar({ clip, reading }: { readonly clip: Clip; readonly reading: Reading }) {
  const session = useSession();
  const [fromS, setFrom] = useState<number | null>(null);
  const [toS, setTo] = useState<number | null>(null);
  const [missing, setMissing] = useState<LimbPart | null>(null);
  const { present } = clip.history;
  const lead = reading.lead.value;
  const say = (part: LimbPart) => {
    const isTurned = fromS !== null && toS !== null && fromS > toS;
    const swap = swapOf(reading.track, part, isTurned ? toS : fromS, isTurned ? fromS : toS);
    setMissing(swap === null ? part : null);
    if (swap !== null) session.state(clip.id, addSwap(present, swap));
  };
  return (
    <section className={styles['bar']} aria-label="Left and right">
      <p className={styles['say']}>
        Drag a joint where it belongs. White is the <strong>{lead}</strong> leg, blue the <strong>{otherSide(lead)}</strong>: wrong leg? Swap them.
      </p>
      <div className={styles['ways']}>
        <FramePick word="From" end="the first frame" value={fromS} reading={reading} onPick={setFrom} />
        <FramePick word="to" end="the last frame" value={toS} reading={reading} onPick={setTo} />
        <button type="button" className={buttons['tape']} onClick={() => { say('legs'); }}><Icon name="swap" /> Swap legs</button>
        <button type="button" className={buttons['quiet']} onClick={() => { say('arms'); }}><Icon name="swap" /> Swap arms</button>
      </div>
      {missing !== null && <p className={styles['trouble']} role="alert">{PART_WORDS[missing]} are not seen there.</p>}
      {present.swaps !== undefined && (
        <ul className={styles['said']}>
          {present.swaps.map((swap, index) => (
            <li key={index}>
              <span><span className={styles['yours']}>by hand</span> {PART_WORDS[swap.part]} swapped {stretchWords(swap)}.</span>
              <button type="button" className={buttons['bare']} onClick={() => { session.state(clip.id, dropSwap(present, swap)); }}>Take back</button>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

/** One end of a stretch: the clip's own end, a key moment, or the frame on screen when it is chosen. */
function FramePick({ word, end, value, reading, onPick }: {
  readonly word: string;
  readonly end: string;
  readonly value: number | null;
  readonly reading: Reading;
  readonly onPick: (t: number | null) => void;
}) {
  const session = useSession();
  const { times } = reading.track;
  const frameAt = (t: number) => nearestFrame(times, t);
  const moments = momentsInOrder(reading.moments).flatMap((moment) => {
    const one = reading.moments[moment];
    return one.found ? [{ frame: frameAt(one.t), name: MOMENT_WORDS[moment].name }] : [];
  });
  const chosen = value === null ? null : frameAt(value);
  const own = chosen !== null && moments.every(({ frame }) => frame !== chosen) ? [{ frame: chosen, name: 'Frame' }] : [];
  return (
    <span className={styles['pick']}>
      <span aria-hidden="true">{word}</span>
      <select
        aria-label={`Swap ${word.toLowerCase()}`}
        value={chosen === null ? 'end' : String(chosen)}
        onChange={(event) => {
          const { value: picked } = event.target;
          if (picked === 'end') onPick(null);
          else onPick(times[picked === 'shown' ? frameAt(session.playhead.now().t) : Number(picked)] ?? null);
        }}
      >
        <option value="end">{end}</option>
        {[...moments, ...own].map(({ frame, name }) => (
          <option key={`${frame} ${name}`} value={String(frame)}>{name}, {(times[frame] ?? 0).toFixed(2)} s</option>
        ))}
        <option value="shown">the frame shown now</option>
      </select>
    </span>
  );
}
