import { useEffect, useRef, useState } from 'react';
import { Link } from 'wouter';
import { lengthOn, repsOf } from '../../athletelog/index.ts';
import type { Rep } from '../../athletelog/index.ts';
import type { Analysis, Reading } from '../../reading/reading.ts';
import { measuredPart, NOTHING_SAID, type SaidPart } from '../../state/rep-draft.ts';
import { dayOf, sessionOn } from '../../state/records.ts';
import type { Clip } from '../../state/session.ts';
import buttons from '../parts/buttons.module.css';
import { dayWords } from '../parts/day-words.ts';
import fields from '../parts/fields.module.css';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { useSession } from '../session-context.ts';
import { AthleteChoice } from './athlete-choice.tsx';
import { makeThumbnail } from './make-thumbnail.ts';
import { NextClip } from './next-clip.tsx';
import { RepFields } from './rep-fields.tsx';
import styles from './save-rep.module.css';

/** Saves the rep on screen with two taps: this, then whose it is. What else the coach has to say can follow, and is kept as it is said. */
export function SaveRep({ clip, analysis, reading }: { readonly clip: Clip; readonly analysis: Analysis; readonly reading: Reading }) {
  const session = useSession();
  const records = useRecordsActions();
  const status = useRecords((state) => state.status);
  const log = useRecords((state) => state.log);
  const remembered = useRecords((state) => state.remembered);
  const [isOpen, setOpen] = useState(false);
  const [isBusy, setBusy] = useState(false);
  const panel = useRef<HTMLElement>(null);
  const rep = clip.saved === null ? undefined : log.reps.find((each) => each.id === clip.saved?.repId);
  useEffect(() => {
    if (isOpen) panel.current?.focus();
  }, [isOpen]);
  if (status === 'loading') return null;
  if (status !== 'ready') return <p className={styles['cannot']}>{status === 'read-only' ? 'A newer Lungeline is open on this device: nothing can be saved from here.' : 'This browser window keeps nothing, so reps cannot be saved here.'}</p>;

  const today = dayOf(new Date());
  const current = sessionOn(log, today);
  const saveFor = async (athleteId: string) => {
    const athlete = log.athletes.find((each) => each.id === athleteId);
    const height = athlete === undefined ? null : lengthOn(athlete, 'heightM', today);
    // The athlete's stored height gives metres; one that was typed for this clip stays.
    const stated = clip.history.present.heightM === undefined && height !== null ? { ...clip.history.present, heightM: height.metres } : clip.history.present;
    const profile = records.profileFor(athleteId);
    const read = await session.engine.read(analysis, stated, profile);
    const lastHere = current === null ? undefined : repsOf(log, { athleteId, sessionId: current.id }).at(-1);
    const surfaces = lastHere?.surfaces ?? current?.surfaces ?? remembered.surfaces;
    const legs = current?.present.find((each) => each.athleteId === athleteId)?.legs ?? null;
    const saved = await records.saveRep({
      athleteId,
      sessionId: current?.id ?? null,
      measured: measuredPart(analysis, read, stated, profile, clip.isDemo),
      said: { ...NOTHING_SAID, surfaces, legs: lastHere?.legs ?? legs, pass: lastHere?.pass ?? '', markAtM: lastHere?.markAtM ?? null },
      analysis,
      thumbnail: await makeThumbnail(session.engine, clip, reading),
      clip: remembered.keepsClips && records.canKeepClips ? clip.file : null,
    });
    if (!saved.ok) return;
    if (stated !== clip.history.present) session.state(clip.id, stated);
    session.link(clip.id, { repId: saved.value.id, athleteId });
  };
  const save = async (athleteId: string) => {
    setBusy(true);
    try {
      await saveFor(athleteId);
    } finally {
      setBusy(false);
    }
  };

  return (
    <>
      <div className={styles['bar']}>
        {rep === undefined ? (
          <button type="button" className={`${buttons['tape'] ?? ''} ${styles['open'] ?? ''}`} aria-expanded={isOpen} onClick={() => { setOpen(!isOpen); }}>
            Save this rep
          </button>
        ) : (
          <button type="button" className={styles['done']} aria-expanded={isOpen} onClick={() => { setOpen(!isOpen); }}>
            <SavedWords rep={rep} />
          </button>
        )}
      </div>
      {isOpen && (
        <section
          ref={panel}
          tabIndex={-1}
          className={styles['panel']}
          aria-label={rep === undefined ? 'Save this rep' : 'About this rep'}
          onKeyDown={(event) => {
            if (event.key !== 'Escape') return;
            event.preventDefault();
            event.stopPropagation();
            setOpen(false);
          }}
        >
          {rep === undefined ? (
            <AthleteChoice sessionId={current?.id ?? null} legend="Whose rep is it?" isBusy={isBusy} onChoose={(id) => { void save(id); }} />
          ) : (
            <SavedRep rep={rep} clip={clip} />
          )}
          <p className={styles['close']}>
            <button type="button" className={buttons['quiet']} onClick={() => { setOpen(false); }}>{rep === undefined ? 'Not now' : 'Done'}</button>
            {rep !== undefined && <NextClip clipId={clip.id} />}
          </p>
        </section>
      )}
    </>
  );
}

function SavedWords({ rep }: { readonly rep: Rep }) {
  const name = useRecords((state) => state.log.athletes.find((each) => each.id === rep.athleteId)?.name ?? '');
  const date = useRecords((state) => state.log.sessions.find((each) => each.id === rep.sessionId)?.date ?? null);
  return (
    <>
      <strong>Saved: {name}, rep {rep.number}</strong>
      {date !== null && <span>{dayWords(date)}</span>}
      <span className={styles['more']}>Add a note</span>
    </>
  );
}

function SavedRep({ rep, clip }: { readonly rep: Rep; readonly clip: Clip }) {
  const records = useRecordsActions();
  const passes = useRecords((state) => state.log.reps).map((each) => each.pass);
  const isKept = useRecords((state) => state.keptClips.has(rep.id));
  const { file } = clip;
  const change = (part: Partial<SaidPart>) => { void records.changeRep(rep.id, (now) => ({ ...now, ...part })); };
  const keep = async () => {
    if (file === null) return;
    const done = isKept ? await records.dropClip(rep.id) : await records.keepClip(rep.id, file);
    if (done.ok) await records.remember({ keepsClips: !isKept });
  };
  const name = useRecords((state) => state.log.athletes.find((each) => each.id === rep.athleteId)?.name ?? '');
  return (
    <>
      <p className={styles['head']} role="status">Saved: {name}, rep {rep.number}<span>What you add is kept as you say it.</span></p>
      <RepFields said={rep} passes={[...new Set(passes)].filter((pass) => pass !== '').slice(0, 30)} onChange={change} />
      {file !== null && records.canKeepClips && (
        <div>
          <button type="button" className={fields['chip']} aria-pressed={isKept} onClick={() => { void keep(); }}>
            Keep the clip on this device ({megabytes(file.size)})
          </button>
          <p className={fields['note']}>{isKept ? 'The clip is kept, and only here.' : 'Without it the rep keeps its body lines, figures and one small still.'}</p>
        </div>
      )}
      <p className={styles['ways']}>
        <Link href={`/sessions/${rep.sessionId}`}>This session</Link>
        <Link href={`/athletes/${rep.athleteId}`}>This athlete</Link>
        <button type="button" className={styles['delete']} onClick={() => { void records.remove({ what: 'rep', id: rep.id }); }}>Delete the rep</button>
      </p>
    </>
  );
}

/** A size in megabytes (10⁶ bytes) with a useful number of digits, e.g. "0.4 MB", "12 MB". */
export function megabytes(bytes: number): string {
  const size = bytes / 1e6;
  return `${size < 10 ? size.toFixed(1) : Math.round(size)} MB`;
}
