import { useId, useState } from 'react';
import styles from './about-measuring.module.css';
import type { TimeBase } from '../../clip/clip-info.ts';
import type { Analysis, Reading } from '../../reading/reading.ts';
import type { Clip } from '../../state/session.ts';
import { useSession } from '../session-context.ts';
import { TimesPanel } from '../times/times-panel.tsx';
import { KEYS } from '../use-keys.ts';
import { draftOf, type FloorDraft } from './floor-draft.ts';
import { TrimPart } from './trim-part.tsx';

/** Standing heights that are taken, centimetres; chosen: the smallest child to the tallest adult in a gym. */
const HEIGHTS_CM = { from: 80, to: 220 };

/** Frame rates at which phones film. */
const FILMED_FPS = [60, 120, 240] as const;

/** What the clip's time can be trusted for, and why, in words. */
export function timeWords({ timeBase, timeBasis, fall }: Pick<Reading, 'timeBase' | 'timeBasis' | 'fall'>): string {
  const slowed = timeBase.kind === 'slowed' ? timesText(timeBase.factor) : null;
  switch (timeBasis) {
    case 'stated':
      return slowed === null ? 'Real time, as you said.' : `Slowed ${slowed}, as you said. Times and speeds are counted back.`;
    case 'file':
      return slowed === null ? 'Real time, says the file.' : `Slowed ${slowed}, says the file. Times and speeds are counted back.`;
    case 'fall':
      return 'Real time: in the air the body falls as bodies do.';
    case 'frame-rate':
      return 'Taken as real time: flattened slow motion has 30 frames a second or fewer.';
    case 'none':
      return fall !== null && fall.ci95[0] > 1
        ? `This clip seems slowed about ${timesText(Math.round(fall.slowedBy))}: in the air the body falls too slowly. Say how it was filmed.`
        : 'Not known to be real time: times and speeds wait until you say how it was filmed.';
  }
}

/** On what the lens of the camera model rests. */
function lensWords(equivalentMm: number | null): string {
  return equivalentMm === null
    ? 'The file does not state its lens: a usual phone’s is assumed, give or take 20 %.'
    : `Lens of ${equivalentMm.toFixed(0)} mm (full-frame equivalent), says the file.`;
}

/** The frame rate of filming that the fall of the body speaks for, while nobody has said it; null where the fall tells none. */
export function filmedAt({ timeBasis, fall }: Pick<Reading, 'timeBasis' | 'fall'>, shownFps: number): number | null {
  if (timeBasis !== 'none' || fall === null || fall.ci95[0] <= 1) return null;
  const fits = FILMED_FPS.filter((rate) => rate / shownFps >= fall.ci95[0] && rate / shownFps <= fall.ci95[1]);
  return fits.toSorted((a, b) => Math.abs(a / shownFps - fall.slowedBy) - Math.abs(b / shownFps - fall.slowedBy))[0] ?? null;
}

/** How many times, e.g. "4 times" or "2.5 times". */
function timesText(factor: number): string {
  return `${factor.toFixed(Math.abs(factor - Math.round(factor)) < 0.05 ? 0 : 1)} times`;
}

/** What cannot be seen in the clip and only the user knows, and what measured it. */
export function AboutMeasuring({ clip, analysis, reading, readMs, onFloorDraft }: {
  readonly clip: Clip;
  readonly analysis: Analysis;
  readonly reading: Reading;
  readonly readMs: number;
  readonly onFloorDraft: (draft: FloorDraft) => void;
}) {
  const session = useSession();
  const heightId = useId();
  const timeId = useId();
  const { present } = clip.history;
  const fps = analysis.clip.fps;
  const chosen = present.timeBase === undefined ? 'unsaid' : present.timeBase.kind === 'slowed' ? String(Math.round(present.timeBase.factor * fps.median)) : 'known';
  const rates = FILMED_FPS.filter((rate) => rate > fps.median * 1.2);

  const suggested = filmedAt(reading, fps.median);

  const sayTime = (choice: string) => {
    const { timeBase: _before, ...rest } = present;
    if (choice === 'unsaid') session.state(clip.id, rest);
    else {
      const timeBase: TimeBase = choice === 'known' ? { kind: 'known' } : { kind: 'slowed', factor: Number(choice) / fps.median };
      session.state(clip.id, { ...rest, timeBase });
    }
  };
  return (
    <section className={styles['about']} aria-label="What you know about the clip">
      <div className={styles['fields']}>
        <div className={styles['field']}>
          <label htmlFor={timeId}>How it was filmed</label>
          <select id={timeId} value={chosen} onChange={(event) => { sayTime(event.target.value); }}>
            <option value="unsaid">not said</option>
            <option value="known">real time, {fps.median.toFixed(fps.median % 1 < 0.05 ? 0 : 1)} frames a second</option>
            {rates.map((rate) => (
              <option key={rate} value={String(rate)}>slow motion, filmed at {rate}</option>
            ))}
          </select>
          <p className={styles['note']}>{timeWords(reading)}</p>
          {suggested !== null && (
            <p className={styles['ways']}>
              <button type="button" onClick={() => { sayTime(String(suggested)); }}>It was filmed at {suggested}</button>
            </p>
          )}
        </div>
        <HeightField key={String(present.heightM)} id={heightId} clip={clip} />
        <FloorScale clip={clip} onFloorDraft={onFloorDraft} />
      </div>
      {clip.file !== null && <TrimPart key={`${analysis.part.fromS} ${analysis.part.toS}`} clip={clip} analysis={analysis} />}
      <p className={styles['made']}>
        Measured with {analysis.track.model} on {analysis.track.backend}, {analysis.track.times.length} frames of{' '}
        {analysis.clip.widthPx} × {analysis.clip.heightPx}, {analysis.clip.codec}, {fps.min.toFixed(0) === fps.max.toFixed(0) ? fps.median.toFixed(0) : `${fps.min.toFixed(0)} to ${fps.max.toFixed(0)}`} a second.
        {' '}{lensWords(analysis.clip.equivalentFocalMm ?? null)}
        {analysis.stoppedAtS !== null && ` The clip could be read only up to ${analysis.stoppedAtS.toFixed(1)} s.`}
      </p>
      <TimesPanel clip={clip} analysis={analysis} readMs={readMs} />
      <details className={styles['keys']}>
        <summary>Keys</summary>
        <dl>
          {KEYS.map(({ keys, does }) => (
            <div key={keys}>
              <dt>{keys}</dt>
              <dd>{does}</dd>
            </div>
          ))}
        </dl>
      </details>
    </section>
  );
}

/** The better scale: taps on the floor. */
function FloorScale({ clip, onFloorDraft }: { readonly clip: Clip; readonly onFloorDraft: (draft: FloorDraft) => void }) {
  const session = useSession();
  const { floor, ...rest } = clip.history.present;
  const start = (kind: FloorDraft['kind']) => {
    session.playhead.pause();
    onFloorDraft(floor?.kind === kind ? draftOf(floor) : { kind, taps: [] });
  };
  return (
    <div className={styles['field']}>
      <h3>Scale from the floor</h3>
      <p className={styles['ways']}>
        <button type="button" onClick={() => { start('marks'); }}>{floor?.kind === 'marks' ? 'Change the two marks' : 'Two marks'}</button>
        <button type="button" onClick={() => { start('mat'); }}>{floor?.kind === 'mat' ? 'Change the mat' : 'A mat'}</button>
        {floor !== undefined && <button type="button" onClick={() => { session.state(clip.id, rest); }}>Without</button>}
      </p>
      <p className={styles['note']}>
        {floor === undefined
          ? 'Better than the height: also tells how the camera stood.'
          : floor.kind === 'marks'
            ? `Two marks, ${floor.apartM} m apart. Metres come from them.`
            : `A mat of ${floor.alongM} × ${floor.acrossM} m. Metres and the camera come from it.`}
      </p>
    </div>
  );
}

function HeightField({ id, clip }: { readonly id: string; readonly clip: Clip }) {
  const session = useSession();
  const { heightM, ...rest } = clip.history.present;
  const [text, setText] = useState(heightM === undefined ? '' : String(Math.round(heightM * 100)));
  const [isWrong, setWrong] = useState(false);
  const say = () => {
    const trimmed = text.trim();
    if (trimmed === '') {
      setWrong(false);
      if (heightM !== undefined) session.state(clip.id, rest);
      return;
    }
    const number = Number(trimmed.replace(',', '.'));
    const metres = number > 3 ? number / 100 : number;
    const isTaken = metres * 100 >= HEIGHTS_CM.from && metres * 100 <= HEIGHTS_CM.to;
    setWrong(!isTaken);
    if (isTaken && metres !== heightM) session.state(clip.id, { ...rest, heightM: metres });
  };
  return (
    <div className={styles['field']}>
      <label htmlFor={id}>Height of the athlete, cm</label>
      <input
        id={id}
        inputMode="decimal"
        autoComplete="off"
        size={6}
        value={text}
        aria-invalid={isWrong}
        aria-describedby={`${id}-note`}
        onChange={(event) => { setText(event.target.value); }}
        onBlur={say}
        onKeyDown={(event) => { if (event.key === 'Enter') say(); }}
      />
      <p id={`${id}-note`} className={styles['note']}>
        {isWrong
          ? `Between ${HEIGHTS_CM.from} and ${HEIGHTS_CM.to} cm.`
          : heightM === undefined
            ? 'Gives metres beside leg lengths.'
            : 'Metres come from this height.'}
      </p>
    </div>
  );
}
