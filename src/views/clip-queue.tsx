import { useEffect, useId, useRef, useState } from 'react';
import styles from './clip-queue.module.css';
import buttons from './parts/buttons.module.css';
import { Icon } from './parts/icon.tsx';
import type { Clip } from '../state/session.ts';
import { useSession, useSessionState } from './session-context.ts';

/** How far a clip is, in a few words. */
export function stageWords(clip: Clip): string {
  switch (clip.stage.kind) {
    case 'waiting':
      return clip.isLeft ? 'waits, from before the page was closed' : 'waits';
    case 'working':
      return `${Math.round(clip.stage.progress.fraction * 100)} %`;
    case 'failed':
      return clip.stage.problem.kind === 'cancelled' ? 'cancelled' : 'not measured';
    case 'done':
      return clip.measuredAt === null ? 'ready' : 'ready, read before';
  }
}

/** The clips in hand: which one is shown, how far each is, and the way to stop one or put it away. */
export function ClipQueue() {
  const session = useSession();
  const clips = useSessionState((state) => state.clips);
  const selectedId = useSessionState((state) => state.selectedId);
  const [isOpen, setOpen] = useState(false);
  const box = useRef<HTMLElement>(null);
  const listId = useId();
  const selected = clips.find((clip) => clip.id === selectedId);
  const ready = clips.filter((clip) => clip.stage.kind === 'done').length;
  useEffect(() => {
    if (!isOpen) return;
    const close = (event: Event) => {
      const isWithin = event.target instanceof Node && box.current?.contains(event.target) === true;
      if (event instanceof KeyboardEvent ? event.key === 'Escape' : !isWithin) {
        // Escape only folds the list away; it must not cancel the clip behind it.
        if (event instanceof KeyboardEvent) event.preventDefault();
        setOpen(false);
      }
    };
    document.addEventListener('pointerdown', close);
    document.addEventListener('keydown', close, { capture: true });
    return () => {
      document.removeEventListener('pointerdown', close);
      document.removeEventListener('keydown', close, { capture: true });
    };
  }, [isOpen]);
  return (
    <nav className={styles['queue']} aria-label="Clips" ref={box}>
      {clips.length > 1 ? (
        <button type="button" className={styles['pick']} aria-expanded={isOpen} aria-controls={listId} onClick={() => { setOpen(!isOpen); }}>
          <span className={styles['title']}>{selected?.title}</span>
          <span className={styles['count']}>{ready} of {clips.length} ready</span>
        </button>
      ) : (
        <span className={styles['title']}>{selected?.title}</span>
      )}
      {selected !== undefined && (
        <button type="button" className={buttons['bare']} aria-label={`Put away ${selected.title}`} onClick={() => { session.remove(selected.id); }}>
          <Icon name="close" />
        </button>
      )}
      {isOpen && clips.length > 1 && (
        <ol id={listId} className={styles['list']}>
          {clips.map((clip) => (
            <li key={clip.id} className={clip.id === selectedId ? styles['shown'] : undefined}>
              <button
                type="button"
                className={styles['clip']}
                aria-current={clip.id === selectedId}
                onClick={() => {
                  session.select(clip.id);
                  setOpen(false);
                }}
              >
                <span className={styles['title']}>{clip.title}</span>
                <span className={styles['stage']}>{stageWords(clip)}</span>
              </button>
              {clip.stage.kind === 'waiting' || clip.stage.kind === 'working' ? (
                <button type="button" className={styles['end']} aria-label={`Cancel ${clip.title}`} onClick={() => { session.cancel(clip.id); }}>Cancel</button>
              ) : (
                <button type="button" className={styles['end']} aria-label={`Put ${clip.title} away`} onClick={() => { session.remove(clip.id); }}>Put away</button>
              )}
            </li>
          ))}
        </ol>
      )}
    </nav>
  );
}
