import { useId, useState } from 'react';
import { Link } from 'wouter';
import styles from './first-screen.module.css';
import buttons from '../parts/buttons.module.css';
import { Cautions } from '../parts/cautions.tsx';
import { CLIP_TYPES } from './clip-types.ts';
import { FilmingGuide } from './filming-guide.tsx';
import { loadDemo } from './demo-clip.ts';
import { START_POSES } from './start-poses.ts';
import { CHECK_VIEW_PATH } from '../pre-check/check-view-path.ts';
import { useSession } from '../session-context.ts';

/** How far apart the drawn body lines stand, hundredths of a leg length: further than in the clip, so that each can be seen. */
const SPREAD = 150;

/** The first screen: what this does, the way in, one example, and what to know before filming. */
export function FirstScreen() {
  const session = useSession();
  const inputId = useId();
  const [demo, setDemo] = useState<'idle' | 'loading' | 'missing'>('idle');
  const openDemo = async () => {
    setDemo('loading');
    const loaded = await loadDemo();
    if (loaded === null) setDemo('missing');
    else session.openDemo(loaded.file, loaded.title);
  };
  return (
    <div className={styles['first']}>
      <section className={styles['say']}>
        <h2 className={styles['headline']}>Film the start. See&nbsp;what&nbsp;to&nbsp;change.</h2>
        <p className={styles['lead']}>
          Lungeline measures how an athlete starts a running tumbling pass, from a phone clip filmed from the side, and says
          the one thing to change next.
        </p>
      </section>
      <section className={styles['floor']} aria-label="Open a clip">
        <svg className={styles['poses']} viewBox="-20 -250 990 262" aria-hidden="true">
          {START_POSES.map((pose, index) => (
            <g key={pose.moment} transform={`translate(${index * SPREAD} 0)`} className={index === 3 ? styles['marked'] : undefined}>
              <path d={pose.other} className={styles['other']} />
              <path d={pose.arm} className={styles['arm']} />
              <path d={pose.trunk} />
              <path d={pose.lead} />
              <circle cx={pose.head[0]} cy={pose.head[1]} r="13" />
            </g>
          ))}
        </svg>
        <div className={styles['line']} aria-hidden="true" />
        <div className={styles['ways']}>
          <label htmlFor={inputId} className={`${buttons['tape'] ?? ''} ${styles['open'] ?? ''}`}>
            Open a clip
            <input
              id={inputId}
              className={styles['file']}
              type="file"
              accept={CLIP_TYPES}
              multiple
              onChange={(event) => {
                const files = [...(event.target.files ?? [])];
                if (files.length > 0) session.open(files);
              }}
            />
          </label>
          <button type="button" className={`${buttons['quiet'] ?? ''} ${styles['demo'] ?? ''}`} disabled={demo === 'loading'} onClick={() => { void openDemo(); }}>
            See an example
          </button>
          <p className={styles['hint']}>
            {demo === 'missing'
              ? 'The example could not be loaded. Your own clips still work.'
              : 'Or drop clips anywhere on this page; several at once wait in line. The example is a computer-drawn, invented athlete.'}
          </p>
        </div>
      </section>
      <section className={styles['know']}>
        <p className={styles['privacy']}>
          <strong>Your clip stays on this device.</strong> Nothing is sent anywhere, no account, no tracking.
        </p>
        <Cautions />
        <p className={styles['check']}>
          <Link href={CHECK_VIEW_PATH} className={buttons['quiet']}>Check the view before you film</Link>
          <span>One photo, or a second of a clip, from where the phone stands: far enough, side-on, bright, the whole start in view?</span>
        </p>
        <FilmingGuide />
      </section>
    </div>
  );
}
