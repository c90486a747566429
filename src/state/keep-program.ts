import type { Session } from './session.ts';

/** Rest after the start, or after the last clip, before the program is fetched ahead, milliseconds; chosen: a first clip comes first. */
const REST_MS = 4000;

/**
 * Keeps the program on the device, so that it opens without a network from the second visit on. Waits until nothing is being
 * measured: the fetching must not slow a clip down. Does nothing where the browser has no service workers.
 */
export function keepProgram(session: Session): void {
  if (!('serviceWorker' in navigator)) return;
  const isBusy = () => session.store.getState().clips.some((clip) => clip.stage.kind === 'working' || clip.stage.kind === 'waiting');
  const tryLater = () => {
    setTimeout(() => {
      if (isBusy()) tryLater();
      // A browser may refuse, as in some private windows: then the program simply needs the network.
      else navigator.serviceWorker.register(new URL('offline.js', document.baseURI)).catch(() => undefined);
    }, REST_MS);
  };
  tryLater();
}
