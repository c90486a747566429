import styles from './clip-queue.module.css';
import buttons from './parts/buttons.module.css';
import { Icon } from './parts/icon.tsx';
import type { Clip } from '../state/session.ts';
import { useSession, useSessionState } from './session-context.ts';

/** How far a clip is, in one or two words. */
function stageWords(clip: Clip): string {
  switch (clip.stage.kind) {
    case 'waiting':
      return 'waits';
    case 'working':
      return `${Math.round(clip.stage.progress.fraction * 100)} %`;
    case 'failed':
      return clip.stage.problem.kind === 'cancelled' ? 'cancelled' : 'not measured';
    case 'done':
      return 'ready';
  }
}

/** The clips in hand: which one is shown, how far the others are, and the way to put one away. */
export function ClipQueue() {
  const session = useSession();
  const clips = useSessionState((state) => state.clips);
  const selectedId = useSessionState((state) => state.selectedId);
  const selected = clips.find((clip) => clip.id === selectedId);
  return (
    <nav className={styles['queue']} aria-label="Clips">
      {clips.length > 1 ? (
        <label className={styles['pick']}>
          <span className="visually-hidden">Clip shown</span>
          <select value={selectedId ?? ''} onChange={(event) => { session.select(event.target.value); }}>
            {clips.map((clip) => (
              <option key={clip.id} value={clip.id}>
                {clip.title} ({stageWords(clip)})
              </option>
            ))}
          </select>
        </label>
      ) : (
        <span className={styles['title']}>{selected?.title}</span>
      )}
      {selected !== undefined && (
        <button type="button" className={buttons['bare']} aria-label={`Put away ${selected.title}`} onClick={() => { session.remove(selected.id); }}>
          <Icon name="close" />
        </button>
      )}
    </nav>
  );
}
