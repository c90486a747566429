import { act } from 'react';
import { EMPTY_LOG } from '../../src/athletelog/index.ts';
import { createRecords, type Records } from '../../src/state/records.ts';
import type { Session } from '../../src/state/session.ts';
import { App } from '../../src/views/app.tsx';
import { fetchScreens } from '../../src/views/screens.tsx';
import { mount, type Mounted } from './mount.tsx';

/** The app on a session, mounted in the test page. */
export interface Shown extends Pick<Mounted, 'page' | 'control' | 'click' | 'choose' | 'type' | 'violations' | 'unmount'> {
  /** A key pressed where the focus is. */
  press(key: string, init?: KeyboardEventInit): Promise<void>;
  /** Does something to the session and waits until the page shows it. */
  after(work?: () => void): Promise<void>;
}

const NOWHERE = {
  storage: null,
  now: () => new Date(),
  newId: () => crypto.randomUUID(),
  askToPersist: () => Promise.resolve('cannot-say' as const),
  inventedClub: () => Promise.resolve({ log: EMPTY_LOG, analyses: new Map<string, never>() }),
};

/** Mounts the app at its first address; records are kept nowhere unless given. */
export async function show(session: Session, records: Records = createRecords(NOWHERE)): Promise<Shown> {
  window.location.hash = '';
  await fetchScreens();
  const mounted = await mount(<App session={session} records={records} />, 'div');
  return {
    ...mounted,
    /** Types and leaves the field. */
    async type(input, text) {
      await mounted.type(input, text);
      await act(() => {
        input.dispatchEvent(new FocusEvent('focusout', { bubbles: true }));
        return Promise.resolve();
      });
    },
    async press(key, init = {}) {
      await act(() => {
        (document.activeElement ?? document.body).dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true, ...init }));
        return Promise.resolve();
      });
    },
    async after(work) {
      await act(async () => {
        work?.();
        await new Promise((resolve) => setTimeout(resolve, 0));
      });
    },
  };
}
