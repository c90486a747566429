import { Suspense, useEffect } from 'react';
import { Route, Router, Switch, useLocation } from 'wouter';
import { useHashLocation } from 'wouter/use-hash-location';
import type { Records } from '../state/records.ts';
import type { Session } from '../state/session.ts';
import styles from './app.module.css';
import { useClipDrop } from './first/use-clip-drop.ts';
import { Notices } from './notices.tsx';
import { CHECK_VIEW_PATH } from './pre-check/check-view-path.ts';
import { Projector } from './projector/projector.tsx';
import { RecordsContext } from './records-context.ts';
import { SCREENS } from './screens.tsx';
import { SessionContext, useSelectedClip, useSession, useSessionState } from './session-context.ts';
import { TopLine } from './top-line.tsx';
import { useKeys } from './use-keys.ts';

/** The whole app on one session and the records of this device. */
export function App({ session, records }: { readonly session: Session; readonly records: Records }) {
  return (
    <SessionContext value={session}>
      <RecordsContext value={records}>
        <Router hook={useHashLocation}>
          <Screens />
        </Router>
      </RecordsContext>
    </SessionContext>
  );
}

function Screens() {
  const clip = useSelectedClip();
  const isProjecting = useSessionState((state) => state.isProjecting);
  const session = useSession();
  const [at, go] = useLocation();
  const isAtClip = at === '/';
  const isDragging = useClipDrop(session, at !== CHECK_VIEW_PATH);
  useKeys(session, isAtClip);

  const stage = clip?.stage;
  const reading = stage?.kind === 'done' ? stage.reading : null;
  const word = SCREENS.find((screen) => screen.path === at)?.word ?? null;
  useEffect(() => {
    const title = isAtClip ? clip?.title : word;
    document.title = title === undefined || title === null ? 'Lungeline' : `${title} · Lungeline`;
  }, [clip, isAtClip, word]);

  // Whatever opens a clip, on whatever screen, shows it.
  useEffect(
    () => session.store.subscribe((now, before) => {
      if (now.selectedId !== null && (now.selectedId !== before.selectedId || now.clips.length > before.clips.length)) go('/');
    }),
    [session, go],
  );
  useEffect(() => { window.scrollTo(0, 0); }, [at]);

  if (isAtClip && clip !== null && reading !== null && isProjecting) {
    return <Projector clip={clip} reading={reading} />;
  }
  return (
    <div className={styles['app']}>
      <TopLine isAtClip={isAtClip} />
      <main className={styles['main']}>
        <Suspense>
          <Switch>
            {SCREENS.map(({ path, Screen }) => (
              <Route key={path} path={path} component={Screen} />
            ))}
            <Route>
              <p className={styles['lost']}>There is no such screen. The line of screens leads on.</p>
            </Route>
          </Switch>
        </Suspense>
      </main>
      <Notices isAtClip={isAtClip} />
      {isDragging && (
        <div className={styles['drop']} aria-hidden="true">
          <p>Let go to open</p>
        </div>
      )}
    </div>
  );
}
