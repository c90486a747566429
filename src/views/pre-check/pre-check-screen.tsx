import { useEffect, useId, useMemo, useRef, useState } from 'react';
import styles from './pre-check-screen.module.css';
import buttons from '../parts/buttons.module.css';
import fields from '../parts/fields.module.css';
import { SampleBridge } from '../../bridge/sample-bridge.ts';
import { preCheck, type Lens, type PreCheckRow } from '../../camera/index.ts';
import { problemWords, PRE_CHECK_NAMES, preCheckFigure, preCheckWanted, qualityWords } from '../../cues/index.ts';
import { START_IDS, START_NAMES, type StartId } from '../../starts/start.ts';
import type { Problem } from '../../units/outcome.ts';
import type { Sample } from '../../../workers/sample.ts';
import { Icon } from '../parts/icon.tsx';
import { SamplePicture } from './sample-picture.tsx';
import { takenFiles } from '../parts/taken-files.ts';

/** Whoever looks at samples; tests put their own here. */
export type Looker = Pick<SampleBridge, 'look' | 'close'>;

/** How unsure a stated focal length is, one relative standard deviation: as for clips. */
const STATED_LENS_SD = 0.1;

type Look =
  | { readonly kind: 'none' }
  | { readonly kind: 'looking'; readonly name: string }
  | { readonly kind: 'failed'; readonly problem: Problem }
  | { readonly kind: 'done'; readonly name: string; readonly sample: Sample };

/** Tests a photo or a second of a clip before the session is filmed: every figure, what is wanted, what to change. Nothing is kept. */
export function PreCheckScreen({ looker }: { readonly looker?: Looker }) {
  const bridge = useMemo(() => looker ?? new SampleBridge(), [looker]);
  const [look, setLook] = useState<Look>({ kind: 'none' });
  const [start, setStart] = useState<StartId | null>(null);
  const abort = useRef<AbortController | null>(null);
  const inputId = useId();
  const startId = useId();
  useEffect(() => () => {
    abort.current?.abort();
    bridge.close();
  }, [bridge]);
  // The picture that was shown before is let go of.
  useEffect(() => (look.kind === 'done' ? () => { look.sample.picture.close(); } : undefined), [look]);

  const open = (file: File) => {
    abort.current?.abort();
    const own = new AbortController();
    abort.current = own;
    setLook({ kind: 'looking', name: file.name });
    bridge.look(own.signal, file).then(
      (outcome) => {
        if (own.signal.aborted) {
          if (outcome.ok) outcome.value.picture.close();
          return;
        }
        setLook(outcome.ok ? { kind: 'done', name: file.name, sample: outcome.value } : { kind: 'failed', problem: outcome.problem });
      },
      (broken: unknown) => {
        if (!own.signal.aborted) setLook({ kind: 'failed', problem: { kind: 'analysis-stalled', stage: 'finding' } });
        throw broken;
      },
    );
  };
  const isLooking = look.kind === 'looking';
  return (
    <div
      className={styles['page']}
      onDragOver={(event) => { event.preventDefault(); }}
      onDrop={(event) => {
        event.preventDefault();
        const [file] = event.dataTransfer.files;
        if (file !== undefined) open(file);
      }}
    >
      <section className={styles['ask']}>
        <h2 className={styles['title']}>Check the view before you film</h2>
        <p className={styles['how']}>
          Put the phone where it will film. Let the athlete stand where the start begins. Open one photo or a short clip of
          that: the middle of a photo, or a clip’s first second, is looked at. It stays on this device and is not kept.
        </p>
        <div className={styles['ways']}>
          <label htmlFor={inputId} className={`${buttons['tape'] ?? ''} ${styles['open'] ?? ''}`}>
            {look.kind === 'none' ? 'Open a photo or clip' : 'Open the next one'}
            <input
              id={inputId}
              className={styles['file']}
              type="file"
              accept="image/*,video/*,.mp4,.mov,.webm,.m4v"
              onChange={(event) => {
                const [file] = takenFiles(event.target);
                if (file !== undefined) open(file);
              }}
            />
          </label>
          <span className={fields['field']}>
            <label htmlFor={startId} className={fields['label']}>Start to be filmed</label>
            <select id={startId} className={fields['input']} value={start ?? ''} onChange={(event) => { setStart(event.target.value === '' ? null : (event.target.value as StartId)); }}>
              <option value="">not decided</option>
              {START_IDS.map((id) => <option key={id} value={id}>{START_NAMES[id]}</option>)}
            </select>
          </span>
        </div>
      </section>
      <div aria-live="polite">
        {isLooking && (
          <p className={styles['wait']} role="status">
            Looking at {look.name}. The first look loads the models and takes some seconds.{' '}
            <button type="button" className={buttons['quiet']} onClick={() => { abort.current?.abort(); setLook({ kind: 'none' }); }}>Stop</button>
          </p>
        )}
        {look.kind === 'failed' && <Failed problem={look.problem} />}
        {look.kind === 'done' && <Found sample={look.sample} name={look.name} start={start} />}
      </div>
    </div>
  );
}

function Failed({ problem }: { readonly problem: Problem }) {
  const words = problemWords(problem);
  return (
    <div className={styles['failed']} role="alert">
      <h3>{words.title}</h3>
      <p>{words.text}</p>
      <p>{words.action}</p>
    </div>
  );
}

function Found({ sample, name, start }: { readonly sample: Sample; readonly name: string; readonly start: StartId | null }) {
  const found = useMemo(() => {
    const { track, brightness, sharpness, sharpnessByFrame, background, fps, others, focalPx } = sample;
    const lens: Lens | null = focalPx === null ? null : { focalPx, relativeSd: STATED_LENS_SD };
    return preCheck({
      track, fps, start, others,
      quality: { brightness, sharpness, sharpnessByFrame, ...(background === null ? {} : { background }) },
      ...(lens === null ? {} : { lens }),
    });
  }, [sample, start]);
  const poor = found.notes.filter(({ severity }) => severity === 'poor').length;
  const verdict = poor > 0
    ? `Not yet: change ${poor === 1 ? 'one thing' : `${poor} things`} first`
    : found.notes.length > 0 ? 'Ready, and it can be better' : 'Ready to film';
  return (
    <section className={styles['found']} aria-label="What was seen">
      <div className={styles['seen']}>
        <SamplePicture sample={sample} name={name} needs={found.needs} />
        <p className={styles['caption']}>
          {found.needs !== null && 'Dashed: how high fingertips reach, and where the hands come down. '}
          {sample.focalPx === null ? 'The file does not state its lens: a usual phone’s is assumed, give or take 20 %. ' : 'Lens as the file states it. '}
          {sample.isStill && 'Judged as a clip in 1920 × 1080 from the same place would show it.'}
        </p>
      </div>
      <div>
        <h3 className={poor > 0 ? styles['notYet'] : styles['ready']}>{verdict}</h3>
        {found.rows.length === 0 ? found.notes.map((note) => {
          const words = qualityWords(note);
          return <p key={note.kind} className={styles['how']}>{words.reason} {words.whatToDoNextTime}</p>;
        }) : (
          <dl className={styles['rows']}>
            {found.rows.toSorted((a, b) => weight(b) - weight(a)).map((row) => <Row key={row.id} row={row} sample={sample} start={start} />)}
          </dl>
        )}
      </div>
    </section>
  );
}

/** What is poor comes first, then what can be better, then what cannot be told, then what is good. */
function weight({ note, figure }: PreCheckRow): number {
  if (note !== null) return note.severity === 'poor' ? 3 : 2;
  return figure === null ? 1 : 0;
}

function Row({ row, sample, start }: { readonly row: PreCheckRow; readonly sample: Sample; readonly start: StartId | null }) {
  const words = row.note === null ? null : qualityWords(row.note);
  const look = row.note === null ? (row.figure === null ? 'unknown' : 'good') : row.note.severity;
  return (
    <div className={`${styles['row'] ?? ''} ${styles[look] ?? ''}`}>
      <dt>
        <span className={styles['mark']} aria-hidden="true">{look === 'good' ? <Icon name="check" /> : look === 'unknown' ? '?' : '!'}</span>
        <span className="visually-hidden">{{ good: 'Good:', unknown: 'Not told:', hint: 'Can be better:', poor: 'Change:' }[look]} </span>
        {PRE_CHECK_NAMES[row.id]}
      </dt>
      <dd className={styles['figure']}>{preCheckFigure(row, sample.isStill)}</dd>
      <dd className={styles['wanted']}>wanted: {preCheckWanted(row.id, start)}</dd>
      {words !== null && <dd className={styles['change']}>{words.whatToDoNextTime} <span className={styles['reason']}>{words.reason}</span></dd>}
    </div>
  );
}
