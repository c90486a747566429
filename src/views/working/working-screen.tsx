import { useEffect, useRef, useState } from 'react';
import styles from './working-screen.module.css';
import buttons from '../parts/buttons.module.css';
import type { Progress, Stage } from '../../../workers/contract.ts';
import type { Clip } from '../../state/session.ts';
import { useSession } from '../session-context.ts';
import { drawGlimpse } from './draw-glimpse.ts';
import { useWakeLock } from './use-wake-lock.ts';

const STAGE_WORDS: Readonly<Record<Stage, string>> = {
  reading: 'Reading the clip',
  preparing: 'Getting ready',
  finding: 'Finding the athlete',
  measuring: 'Measuring',
};

/** The seconds left as one says them; nothing until they are known. */
function leftWords(secondsLeft: number | null): string {
  if (secondsLeft === null) return '';
  const seconds = Math.ceil(secondsLeft);
  return seconds <= 1 ? 'about a second left' : `about ${seconds} s left`;
}

/**
 * The clip while it is measured: the athlete as the work sees them, how far, how long still, and the way to stop. The clip
 * does not play meanwhile: playing it would take a third of a small machine from the work.
 */
export function WorkingScreen({ clip, progress }: { readonly clip: Clip; readonly progress: Progress | null }) {
  const session = useSession();
  useWakeLock(progress !== null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const [isSeen, setSeen] = useState(false);
  const glimpse = progress?.glimpse;
  useEffect(() => {
    if (glimpse === undefined || canvas.current === null) return;
    drawGlimpse(canvas.current, glimpse);
    setSeen(true);
  }, [glimpse]);
  const percent = Math.round((progress?.fraction ?? 0) * 100);
  const stage = progress === null ? 'Waits for the clip before it' : STAGE_WORDS[progress.stage];
  return (
    <div className={styles['working']}>
      <div className={styles['clip']}>
        {clip.url !== null && <video hidden={isSeen} src={clip.url} muted playsInline preload="auto" aria-label={`${clip.title}, its first picture`} />}
        <canvas ref={canvas} hidden={!isSeen} role="img" aria-label={`The athlete in ${clip.title}, as far as it is measured`} />
      </div>
      <div className={styles['floor']}>
        <div className={styles['line']} role="progressbar" aria-label="Measured so far" aria-valuemin={0} aria-valuemax={100} aria-valuenow={percent}>
          <span className={styles['done']} style={{ inlineSize: `${percent}%` }} />
        </div>
        <div className={styles['words']}>
          <p className={styles['stage']} aria-live="polite">{stage}</p>
          <p className={styles['left']}>{leftWords(progress?.secondsLeft ?? null)}</p>
          {clip.isLeft && <p className={styles['sign']}>Still here from before the page was closed.</p>}
          {!clip.isHeld && <p className={styles['sign']}>No room on this device to put it aside: keep this page open until it is measured.</p>}
          <button type="button" className={buttons['quiet']} onClick={() => { session.cancel(clip.id); }}>
            Cancel
          </button>
        </div>
      </div>
    </div>
  );
}
