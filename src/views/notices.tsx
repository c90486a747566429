import { useEffect } from 'react';
import { problemWords } from '../cues/index.ts';
import type { UndoStep } from '../state/records.ts';
import styles from './notices.module.css';
import buttons from './parts/buttons.module.css';
import { useRecords, useRecordsActions } from './records-context.ts';
import { dayWords } from './parts/day-words.ts';
import { saveBackupFile } from './sessions/save-backup-file.ts';

/** What was done and can be taken back, in words. */
export function stepWords(step: UndoStep): string {
  const reps = step.reps === 1 ? '1 rep' : `${step.reps} reps`;
  switch (step.what) {
    case 'athlete':
      return `${step.name} deleted, with ${reps}.`;
    case 'session':
      return `The session of ${dayWords(step.name)} deleted, with ${reps}.`;
    case 'rep':
      return `${step.name} deleted.`;
    case 'invented':
      return `All that was invented is gone, ${reps}.`;
    case 'replaced':
      return `Opened the backup “${step.name}”: ${step.sessions === 1 ? '1 session' : `${step.sessions} sessions`}, ${reps}.`;
  }
}

/** What the records have to say on any screen: a problem with its way out, a deletion that can be taken back, a newer app in another tab. */
export function Notices({ isAtClip }: { readonly isAtClip: boolean }) {
  const records = useRecordsActions();
  const problem = useRecords((state) => state.problem);
  const status = useRecords((state) => state.status);
  const step = useRecords((state) => state.undoable.at(-1) ?? null);
  useEffect(() => {
    if (isAtClip) return; // There, undo belongs to what was stated about the clip.
    const onKey = (event: KeyboardEvent) => {
      const isTyping = event.target instanceof Element && event.target.closest('input, select, textarea') !== null;
      if (event.defaultPrevented || isTyping || !(event.ctrlKey || event.metaKey) || event.shiftKey || event.key.toLowerCase() !== 'z') return;
      if (records.store.getState().undoable.length === 0) return;
      event.preventDefault();
      void records.undoRemove();
    };
    window.addEventListener('keydown', onKey);
    return () => { window.removeEventListener('keydown', onKey); };
  }, [records, isAtClip]);
  useEffect(() => {
    // What was deleted is gone for good when the page goes; what this cannot finish is tidied at the next start.
    const onLeave = (event: PageTransitionEvent) => {
      if (!event.persisted) void records.forgetRemoved();
    };
    window.addEventListener('pagehide', onLeave);
    return () => {
      window.removeEventListener('pagehide', onLeave);
    };
  }, [records]);
  const words = problem === null ? null : problemWords(problem);
  if (words === null && step === null && status !== 'read-only') return null;
  return (
    <aside className={styles['notices']} aria-label="Notices">
      {status === 'read-only' && problem === null && (
        <p className={styles['notice']}>
          <span>A newer Lungeline is open on this device. This page shows what it knew; reload it to go on saving.</span>
          <button type="button" className={buttons['quiet']} onClick={() => { window.location.reload(); }}>Reload</button>
        </p>
      )}
      {words !== null && problem !== null && (
        <div className={styles['problem']} role="alert">
          <p>
            <strong>{words.title}.</strong> {words.text} {words.action}
          </p>
          <span className={styles['ways']}>
            {problem.kind === 'storage-full' && (
              <button type="button" className={buttons['tape']} onClick={() => { void saveBackupFile(records); }}>Save a backup</button>
            )}
            <button type="button" className={buttons['quiet']} onClick={() => { records.putProblemAway(); }}>Put away</button>
          </span>
        </div>
      )}
      {step !== null && (
        <div className={styles['notice']} role="status">
          <span>{stepWords(step)}</span>
          <span className={styles['ways']}>
            <button type="button" className={buttons['tape']} onClick={() => { void records.undoRemove(); }}>Undo</button>
            <button type="button" className={buttons['quiet']} onClick={() => { void records.forgetRemoved(); }}>
              {step.what === 'replaced' ? 'Keep it so' : 'Erase for good'}
            </button>
          </span>
        </div>
      )}
    </aside>
  );
}
