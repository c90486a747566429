import { useId, useRef } from 'react';
import styles from './top-line.module.css';
import buttons from './parts/buttons.module.css';
import { Icon } from './parts/icon.tsx';
import { ScreenLine } from './screen-line.tsx';
import { ClipQueue } from './clip-queue.tsx';
import { useSelectedClip, useSession, useSessionState } from './session-context.ts';
import { CLIP_TYPES } from './first/clip-types.ts';
import { takenFiles } from './parts/taken-files.ts';

/** The line along the top: the name, the clips in hand, and what can be done with the whole screen. */
export function TopLine({ isAtClip }: { readonly isAtClip: boolean }) {
  const session = useSession();
  const clip = useSelectedClip();
  const input = useRef<HTMLInputElement>(null);
  const inputId = useId();
  const hasClips = useSessionState((state) => state.clips.length > 0);
  const isRead = isAtClip && clip?.stage.kind === 'done';
  return (
    <header className={styles['top']}>
      <h1 className={styles['name']}>Lungeline</h1>
      <ScreenLine />
      {hasClips && isAtClip && <ClipQueue />}
      <span className={styles['line']} aria-hidden="true" />
      {clip !== null && isRead && (
        <>
          <button type="button" className={buttons['bare']} aria-label="Undo" disabled={clip.history.past.length === 0} onClick={() => { session.undo(clip.id); }}>
            <Icon name="undo" />
          </button>
          <button type="button" className={buttons['bare']} aria-label="Redo" disabled={clip.history.future.length === 0} onClick={() => { session.redo(clip.id); }}>
            <Icon name="redo" />
          </button>
          <button type="button" className={buttons['bare']} aria-label="Projector" onClick={() => { session.setProjecting(true); }}>
            <Icon name="project" />
            <span className={styles['word']}>Projector</span>
          </button>
        </>
      )}
      {hasClips && (
        <>
          <label htmlFor={inputId} className="visually-hidden">Clips to open</label>
          <input
            ref={input}
            id={inputId}
            className="visually-hidden"
            type="file"
            accept={CLIP_TYPES}
            multiple
            tabIndex={-1}
            onChange={(event) => {
              const files = takenFiles(event.target);
              if (files.length > 0) session.open(files);
            }}
          />
          <button type="button" className={buttons['bare']} aria-label="Open a clip" onClick={() => input.current?.click()}>
            <Icon name="open" />
            <span className={styles['word']}>Open a clip</span>
          </button>
        </>
      )}
    </header>
  );
}
