import styles from './problem-screen.module.css';
import buttons from '../parts/buttons.module.css';
import { problemWords } from '../../cues/index.ts';
import type { Problem } from '../../units/outcome.ts';
import type { Clip } from '../../state/session.ts';
import { useSession } from '../session-context.ts';
import { FilmingGuide } from '../first/filming-guide.tsx';

/** A second try can end differently only for these. */
const RETRY: readonly Problem['kind'][] = ['cancelled', 'analysis-stalled', 'decoder-failed', 'backend-unavailable'];

/** Film-related problems are best answered by how to film. */
const FILMING: readonly Problem['kind'][] = ['nobody-found', 'no-start-found'];

/** Why a clip was not measured, in plain words, and the way out. */
export function ProblemScreen({ clip, problem }: { readonly clip: Clip; readonly problem: Problem }) {
  const session = useSession();
  const words = problemWords(problem);
  return (
    <div className={styles['problem']}>
      <div role="alert">
        <p className={styles['clip']}>{clip.title}</p>
        <h2 className={styles['title']}>{words.title}</h2>
        <p className={styles['text']}>{words.text}</p>
        <p className={styles['text']}>{words.action}</p>
      </div>
      <p className={styles['ways']}>
        {RETRY.includes(problem.kind) && (
          <button type="button" className={buttons['tape']} onClick={() => { session.rerun(clip.id, {}); }}>
            Measure it again
          </button>
        )}
        <button type="button" className={buttons['quiet']} onClick={() => { session.remove(clip.id); }}>
          Put this clip away
        </button>
      </p>
      {FILMING.includes(problem.kind) && <FilmingGuide />}
    </div>
  );
}
