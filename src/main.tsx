import './state/quiet-zod.ts';
import { createRoot } from 'react-dom/client';
import './views/tokens.css';
import './views/base.css';
import { createSession } from './state/session.ts';
import { workerEngine } from './state/worker-engine.ts';
import { App } from './views/app.tsx';

const place = document.getElementById('lungeline');
if (place === null) throw new TypeError('the page has no place for the app');
createRoot(place).render(<App session={createSession(workerEngine())} />);
