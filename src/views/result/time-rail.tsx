import { useRef } from 'react';
import styles from './time-rail.module.css';
import { MOMENT_IDS, type MomentId } from '../../phases/moment.ts';
import type { Reading } from '../../reading/reading.ts';
import { nearestFrame } from '../../state/step-frame.ts';
import type { Clip } from '../../state/session.ts';
import { MOMENT_WORDS } from '../../cues/index.ts';
import { usePlayhead, useSession, useSessionState } from '../session-context.ts';
import { moveMoment } from './move-moment.ts';

/** Clip seconds shown on each side of the measured part. */
const ROOM_S = 0.1;

/** The clip's time: scrub along it, see where the moments lie, drag the selected one. */
export function TimeRail({ clip, reading, durationS }: { readonly clip: Clip; readonly reading: Reading; readonly durationS: number }) {
  const session = useSession();
  const selected = useSessionState((state) => state.moment);
  const t = usePlayhead((state) => state.t);
  const rail = useRef<HTMLDivElement>(null);
  const { times } = reading.track;
  const fromS = Math.max((times[0] ?? 0) - ROOM_S, 0);
  const toS = Math.min((times.at(-1) ?? durationS) + ROOM_S, Math.max(durationS, times.at(-1) ?? 0));
  const lengthS = Math.max(toS - fromS, 1e-3);
  const place = (at: number) => `${(100 * (at - fromS)) / lengthS}%`;
  const spacing = times.length > 1 ? ((times.at(-1) ?? 0) - (times[0] ?? 0)) / (times.length - 1) : 1 / 30;

  const timeAt = (clientX: number): number => {
    const box = rail.current?.getBoundingClientRect();
    if (box === undefined || box.width === 0) return fromS;
    const wanted = fromS + ((clientX - box.left) / box.width) * lengthS;
    return times[nearestFrame(times, wanted)] ?? wanted;
  };
  const move = (id: MomentId, to: number) => {
    session.state(clip.id, moveMoment(clip.history.present, id, to));
    session.playhead.seek(to);
  };
  const chosen = reading.moments[selected];
  return (
    <div className={styles['rail']} ref={rail}>
      <input
        type="range"
        className={styles['scrub']}
        min={fromS}
        max={toS}
        step={spacing / 2}
        value={t}
        aria-label="Scrub the clip"
        aria-valuetext={`${t.toFixed(3)} seconds`}
        onChange={(event) => { session.playhead.seek(Number(event.target.value)); }}
        onKeyDown={(event) => {
          const by = event.key === 'ArrowLeft' ? -1 : event.key === 'ArrowRight' ? 1 : 0;
          if (by === 0) return;
          event.preventDefault();
          const at = times[Math.min(Math.max(nearestFrame(times, t) + by, 0), times.length - 1)];
          if (at !== undefined) session.playhead.seek(at);
        }}
      />
      {clip.history.present.swaps?.map((swap, index) => {
        const [first, last] = [Math.max(swap.fromS ?? fromS, fromS), Math.min(swap.toS ?? toS, toS)];
        return <span key={index} className={styles['swapped']} style={{ insetInlineStart: place(first), inlineSize: `${(100 * Math.max(last - first, 0)) / lengthS}%` }} aria-hidden="true" />;
      })}
      {MOMENT_IDS.map((id) => {
        const moment = reading.moments[id];
        return moment.found && id !== selected ? (
          <span key={id} className={styles['tick']} style={{ insetInlineStart: place(moment.t) }} aria-hidden="true" />
        ) : null;
      })}
      {chosen.found && (
        <span
          className={styles['pin']}
          style={{ insetInlineStart: place(chosen.t) }}
          role="slider"
          tabIndex={0}
          aria-label={`Move ${MOMENT_WORDS[selected].name}`}
          aria-valuemin={fromS}
          aria-valuemax={toS}
          aria-valuenow={chosen.t}
          aria-valuetext={`${chosen.t.toFixed(3)} seconds${chosen.source === 'user' ? ', placed by hand' : ''}`}
          onPointerDown={(event) => {
            event.currentTarget.setPointerCapture(event.pointerId);
          }}
          onPointerMove={(event) => {
            if (!event.currentTarget.hasPointerCapture(event.pointerId)) return;
            session.playhead.seek(timeAt(event.clientX));
            event.currentTarget.style.insetInlineStart = place(timeAt(event.clientX));
          }}
          onPointerUp={(event) => {
            if (!event.currentTarget.hasPointerCapture(event.pointerId)) return;
            event.currentTarget.releasePointerCapture(event.pointerId);
            const to = timeAt(event.clientX);
            if (Math.abs(to - chosen.t) > spacing / 2) move(selected, to);
            else event.currentTarget.style.insetInlineStart = place(chosen.t);
          }}
          onKeyDown={(event) => {
            const by = event.key === 'ArrowLeft' ? -1 : event.key === 'ArrowRight' ? 1 : 0;
            if (by === 0) return;
            event.preventDefault();
            const at = times[Math.min(Math.max(nearestFrame(times, chosen.t) + by, 0), times.length - 1)];
            if (at !== undefined) move(selected, at);
          }}
        >
          <span className={styles['flag']}>{MOMENT_WORDS[selected].name}</span>
        </span>
      )}
    </div>
  );
}
