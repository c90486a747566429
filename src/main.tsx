import { createRoot } from 'react-dom/client';
import './views/tokens.css';
import './views/base.css';
import { createSession } from './state/session.ts';
import { workerEngine } from './state/worker-engine.ts';
import { App } from './views/app.tsx';
import { fetchScreens } from './views/screens.tsx';

import { keepProgram } from './state/keep-program.ts';
import { keepRepsCurrent } from './state/keep-reps-current.ts';
import { keepWorkPrivate } from './state/keep-work-private.ts';
import { createRecords } from './state/records.ts';
import { engineKey } from '../workers/engine-key.ts';
import { browserStorage, browserWorkStorage } from './storage/browser-storage.ts';
import { askToPersist } from './storage/persistence.ts';

const place = document.getElementById('lungeline');
if (place === null) throw new TypeError('the page has no place for the app');

const work = browserWorkStorage();
const records = createRecords({
  storage: browserStorage(),
  now: () => new Date(),
  newId: () => crypto.randomUUID(),
  askToPersist: () => askToPersist(navigator.storage),
  eraseBeside: async () => {
    for (const { id } of session.store.getState().clips) session.remove(id);
    await work?.eraseAll();
  },
  // Loaded only when someone wants to look around.
  inventedClub: async (today) => (await import('./demo/load-invented-club.ts')).loadInventedClub(today, async (path) => {
    const response = await fetch(new URL(path, document.baseURI));
    return response.ok ? response.text() : null;
  }),
});
const engine = workerEngine();
const session = createSession(engine, (athleteId) => records.profileFor(athleteId), work === null ? null : { storage: work, engineKey });
keepRepsCurrent(session, records);
if (work !== null) keepWorkPrivate(records, work);
void records.open().then(() => {
  session.reread();
  void work?.takeOver((left) => { session.openLeft(left); });
});

createRoot(place).render(<App session={session} records={records} />);

// Once the first screen stands, the others follow while nothing else is to do; Safari has no idle callback.
const whenIdle = (work: () => void) => (typeof requestIdleCallback === 'function' ? requestIdleCallback(work) : setTimeout(work, 2000));
whenIdle(() => void fetchScreens());
// Models take a second or more and some 150 MiB: they load ahead only where a clip is likely to come next.
if (['', '#/'].includes(location.hash)) whenIdle(() => { engine.warmUp?.(); });
if (import.meta.env.PROD) keepProgram(session);
