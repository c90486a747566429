import { createContext, useContext, useSyncExternalStore } from 'react';
import { useStore } from 'zustand';
import type { PlayheadState } from '../state/playhead.ts';
import type { Clip, Session, SessionState } from '../state/session.ts';

/** The session that the views show; given once by the app. */
export const SessionContext = createContext<Session | null>(null);

/** The running session. Throws outside the app. */
export function useSession(): Session {
  const session = useContext(SessionContext);
  if (session === null) throw new TypeError('no session around this view');
  return session;
}

/** A part of the session's state; the view follows it. */
export function useSessionState<T>(pick: (state: SessionState) => T): T {
  return useStore(useSession().store, pick);
}

/** The clip that is shown, or null. */
export function useSelectedClip(): Clip | null {
  return useSessionState((state) => state.clips.find((clip) => clip.id === state.selectedId) ?? null);
}

/** A part of the playhead; the view follows every change of it. */
export function usePlayhead<T extends string | number | boolean>(pick: (state: PlayheadState) => T): T {
  const { playhead } = useSession();
  return useSyncExternalStore(playhead.subscribe, () => pick(playhead.now()));
}
