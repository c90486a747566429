import { useEffect } from 'react';
import type { Session } from '../state/session.ts';
import styles from './app.module.css';
import { FirstScreen } from './first/first-screen.tsx';
import { useClipDrop } from './first/use-clip-drop.ts';
import { ProblemScreen } from './problem/problem-screen.tsx';
import { Projector } from './projector/projector.tsx';
import { ResultScreen } from './result/result-screen.tsx';
import { SessionContext, useSelectedClip, useSession, useSessionState } from './session-context.ts';
import { TopLine } from './top-line.tsx';
import { useKeys } from './use-keys.ts';
import { WorkingScreen } from './working/working-screen.tsx';

/** The whole app on one session. */
export function App({ session }: { readonly session: Session }) {
  return (
    <SessionContext value={session}>
      <Screens />
    </SessionContext>
  );
}

function Screens() {
  const clip = useSelectedClip();
  const isProjecting = useSessionState((state) => state.isProjecting);
  const session = useSession();
  const isDragging = useClipDrop(session);
  useKeys(session);

  const stage = clip?.stage;
  const reading = stage?.kind === 'done' ? stage.reading : null;
  useEffect(() => {
    document.title = clip === null ? 'Lungeline' : `${clip.title} · Lungeline`;
  }, [clip]);

  if (clip !== null && reading !== null && isProjecting) {
    return <Projector clip={clip} reading={reading} />;
  }
  return (
    <div className={styles['app']}>
      <TopLine />
      <main className={styles['main']}>
        {clip === null || stage === undefined ? (
          <FirstScreen />
        ) : stage.kind === 'done' ? (
          <ResultScreen key={clip.id} clip={clip} analysis={stage.analysis} reading={stage.reading} />
        ) : stage.kind === 'failed' ? (
          <ProblemScreen clip={clip} problem={stage.problem} />
        ) : (
          <WorkingScreen key={clip.id} clip={clip} progress={stage.kind === 'working' ? stage.progress : null} />
        )}
      </main>
      {isDragging && (
        <div className={styles['drop']} aria-hidden="true">
          <p>Let go to open</p>
        </div>
      )}
    </div>
  );
}
