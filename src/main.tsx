import './state/quiet-zod.ts';
import { createRoot } from 'react-dom/client';
import './views/tokens.css';
import './views/base.css';
import { createSession } from './state/session.ts';
import { workerEngine } from './state/worker-engine.ts';
import { App } from './views/app.tsx';

import { inventedSeason } from './demo/invented-season.ts';
import { keepRepsCurrent } from './state/keep-reps-current.ts';
import { createRecords } from './state/records.ts';
import { browserStorage } from './storage/browser-storage.ts';
import { askToPersist } from './storage/persistence.ts';

const place = document.getElementById('lungeline');
if (place === null) throw new TypeError('the page has no place for the app');

const records = createRecords({
  storage: browserStorage(),
  now: () => new Date(),
  newId: () => crypto.randomUUID(),
  askToPersist: () => askToPersist(navigator.storage),
  inventedSeason,
});
const session = createSession(workerEngine(), (athleteId) => records.profileFor(athleteId));
keepRepsCurrent(session, records);
void records.open().then(() => { session.reread(); });

createRoot(place).render(<App session={session} records={records} />);
