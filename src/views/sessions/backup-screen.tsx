import { useId, useState } from 'react';
import buttons from '../parts/buttons.module.css';
import { InventedNote } from '../parts/invented.tsx';
import { LoadInvented } from '../parts/load-invented.tsx';
import page from '../parts/page.module.css';
import { saveFile } from '../parts/save-file.ts';
import { fileName, repsCsv } from '../../export/index.ts';
import { dayOf, sessionsSinceBackup } from '../../state/records.ts';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { saveBackupFile } from './save-backup-file.ts';
import styles from './backup-screen.module.css';
import { takenFiles } from '../parts/taken-files.ts';

const PERSIST_WORDS = {
  promised: 'This browser has promised to keep your records even when room gets short.',
  'not-promised': 'This browser may clear your records when room gets short or after weeks without a visit. Save backups, or install Lungeline on the home screen.',
  'cannot-say': 'This browser cannot say whether it keeps your records. Save backups.',
} as const;

/** Backup out and in, what the browser promises, the invented club, and the way to erase everything. */
export function BackupScreen() {
  const records = useRecordsActions();
  const log = useRecords((state) => state.log);
  const status = useRecords((state) => state.status);
  const persist = useRecords((state) => state.persist);
  const lastBackup = useRecords((state) => state.lastBackup);
  const since = useRecords(sessionsSinceBackup);
  const kept = useRecords((state) => state.keptClips.size);
  const inputId = useId();
  const [isErasing, setErasing] = useState(false);
  const hasInvented = log.athletes.some((athlete) => athlete.isInvented);
  const restore = async (file: File | undefined) => {
    if (file !== undefined) await records.restore(await file.text(), file.name);
  };
  if (status === 'unavailable') return <p className={page['page']}>This browser window keeps nothing, so there is nothing to back up. Open Lungeline in an ordinary window to save reps.</p>;
  return (
    <div className={page['page']}>
      <header className={page['head']}><h2>Backup</h2></header>
      <p className={styles['sum']}>
        <span><strong>{log.athletes.length}</strong> {log.athletes.length === 1 ? 'athlete' : 'athletes'}</span>
        <span><strong>{log.sessions.length}</strong> {log.sessions.length === 1 ? 'session' : 'sessions'}</span>
        <span><strong>{log.reps.length}</strong> {log.reps.length === 1 ? 'rep' : 'reps'}</span>
        <span><strong>{kept}</strong> {kept === 1 ? 'clip' : 'clips'} kept</span>
      </p>
      <InventedNote />
      <section className={page['section']} aria-label="Save a backup">
        <h3>Save a backup</h3>
        <p className={page['note']}>
          One file with athletes, sessions, reps, figures, notes and tolerances. Clips, stills and body lines are not in it.
          {lastBackup === null ? ' None was saved yet.' : ` The last one was saved on ${lastBackup.savedAt.slice(0, 10)}, ${since === 1 ? '1 session' : `${Math.max(0, since)} sessions`} ago.`}
        </p>
        <p className={page['ways']}><button type="button" className={buttons['tape']} onClick={() => { void saveBackupFile(records); }}>Save a backup file</button></p>
      </section>
      {log.reps.length > 0 && (
        <section className={page['section']} aria-label="Reps as a table">
          <h3>Reps as a table</h3>
          <p className={page['note']}>One row a rep, every measure with its 95 % interval, for a spreadsheet (CSV). It holds names: mind where you keep it.</p>
          <p className={page['ways']}>
            {(['international', 'continental'] as const).map((style) => (
              <button
                key={style}
                type="button"
                className={buttons['quiet']}
                onClick={() => { saveFile(repsCsv(log, {}, style), fileName(['lungeline', 'reps', dayOf(new Date())], 'csv'), 'text/csv'); }}
              >
                {style === 'international' ? 'Save with 1.5 as one and a half' : 'Save with 1,5 as one and a half'}
              </button>
            ))}
          </p>
        </section>
      )}
      {status === 'ready' && (
        <section className={page['section']} aria-label="Open a backup">
          <h3>Open a backup</h3>
          <p className={page['note']}>Replaces what is here by what is in the file. A damaged file changes nothing, and Undo brings everything back until you close this page.</p>
          <p className={page['ways']}>
            <label htmlFor={inputId} className={`${buttons['quiet'] ?? ''} ${styles['open'] ?? ''}`}>
              Open a backup file
              <input
                id={inputId}
                className={styles['file']}
                type="file"
                accept=".json,application/json"
                onChange={(event) => {
                  const [file] = takenFiles(event.target);
                  void restore(file);
                }}
              />
            </label>
          </p>
        </section>
      )}
      <section className={page['section']} aria-label="What this browser promises">
        <h3>What this browser promises</h3>
        <p className={page['note']}>{persist === null ? 'It is asked when you save your first rep or athlete.' : PERSIST_WORDS[persist]}</p>
      </section>
      {status === 'ready' && !hasInvented && (
        <section className={page['section']} aria-label="Invented club">
          <h3>Look around</h3>
          <p className={page['note']}>An invented club with six invented athletes and a season of reps fills every screen. One tap takes it away again.</p>
          <p className={page['ways']}><LoadInvented word="Load the invented club" /></p>
        </section>
      )}
      <section className={page['section']} aria-label="Erase everything">
        <h3>Erase everything</h3>
        <p className={page['note']}>Every athlete, session, rep, still and kept clip on this device, for good. This cannot be undone.</p>
        <p className={page['ways']}>
          {isErasing ? (
            <>
              <button
                type="button"
                className={`${buttons['quiet'] ?? ''} ${page['danger'] ?? ''}`}
                onClick={() => {
                  setErasing(false);
                  void records.eraseAll();
                }}
              >
                Yes, erase all of it
              </button>
              <button type="button" className={buttons['quiet']} onClick={() => { setErasing(false); }}>No, keep it</button>
            </>
          ) : (
            <button type="button" className={`${buttons['quiet'] ?? ''} ${page['danger'] ?? ''}`} onClick={() => { setErasing(true); }}>Erase everything …</button>
          )}
        </p>
      </section>
    </div>
  );
}
