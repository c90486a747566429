import { useId, useState } from 'react';
import styles from './floor-bar.module.css';
import buttons from '../parts/buttons.module.css';
import { cameraByMat } from '../../camera/mat-camera.ts';
import type { Reading } from '../../reading/reading.ts';
import type { Clip } from '../../state/session.ts';
import { useSession } from '../session-context.ts';
import { floorOf, nextTap, tapped, type FloorDraft } from './floor-draft.ts';

/** Longest length on a floor that is taken, metres; chosen: longer than any tumbling floor. */
const LONGEST_M = 60;

/** What to tap next on the floor, then how many metres lie between. */
export function FloorBar({ clip, reading, draft, onChange, onEnd }: {
  readonly clip: Clip;
  readonly reading: Reading;
  readonly draft: FloorDraft;
  readonly onChange: (draft: FloorDraft) => void;
  readonly onEnd: () => void;
}) {
  const session = useSession();
  const alongId = useId();
  const acrossId = useId();
  const before = clip.history.present.floor;
  const [along, setAlong] = useState(before === undefined ? '' : String(before.kind === 'marks' ? before.apartM : before.alongM));
  const [across, setAcross] = useState(before?.kind === 'mat' ? String(before.acrossM) : '');
  const [trouble, setTrouble] = useState<string | null>(null);
  const next = nextTap(draft);
  const isMat = draft.kind === 'mat';
  const { widthPx, heightPx } = reading.track;
  const metres = (text: string) => Number(text.trim().replace(',', '.'));

  const use = () => {
    const lengths = isMat ? [metres(along), metres(across)] : [metres(along)];
    if (lengths.some((length) => !(length > 0 && length <= LONGEST_M))) {
      setTrouble(`Metres, more than 0 and at most ${LONGEST_M}.`);
      return;
    }
    const floor = floorOf(draft, metres(along), metres(across));
    if (floor === null) return;
    if (floor.kind === 'mat' && cameraByMat(floor, reading.camera.lens, widthPx, heightPx) === null) {
      setTrouble('These corners are not a mat as a camera sees it. Near means toward the camera: tap them again.');
      onChange({ kind: 'mat', taps: [] });
      return;
    }
    session.state(clip.id, { ...clip.history.present, floor });
    onEnd();
  };
  return (
    <form
      className={styles['bar']}
      aria-label="Scale from the floor"
      onSubmit={(event) => {
        event.preventDefault();
        use();
      }}
    >
      {next !== null ? (
        <p className={styles['say']} aria-live="polite">Tap the {next}{isMat ? ' of the mat' : ' on the line of the run'}.</p>
      ) : (
        <>
          <label htmlFor={alongId} className={styles['field']}>
            {isMat ? 'Side along the run, metres' : 'Metres between the marks'}
            <input id={alongId} inputMode="decimal" autoComplete="off" size={5} value={along} onChange={(event) => { setAlong(event.target.value); }} />
          </label>
          {isMat && (
            <label htmlFor={acrossId} className={styles['field']}>
              The other side, metres
              <input id={acrossId} inputMode="decimal" autoComplete="off" size={5} value={across} onChange={(event) => { setAcross(event.target.value); }} />
            </label>
          )}
          <button type="submit" className={buttons['tape']}>Use it</button>
        </>
      )}
      {next !== null && (
        <button type="button" className={buttons['bare']} onClick={() => { onChange(tapped(draft, next, { x: widthPx / 2, y: heightPx * 0.8 })); }}>
          Put it in the middle, for the arrow keys
        </button>
      )}
      <button type="button" className={buttons['bare']} onClick={onEnd}>Leave as it was</button>
      {trouble !== null && <p className={styles['trouble']} role="alert">{trouble}</p>}
    </form>
  );
}
