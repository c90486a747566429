import { useEffect } from 'react';

/**
 * Keeps the screen on while work runs, where the browser can; a phone that locks itself freezes the work.
 * https://bugs.webkit.org/show_bug.cgi?id=254545
 */
export function useWakeLock(isWorking: boolean): void {
  useEffect(() => {
    if (!isWorking || !('wakeLock' in navigator)) return;
    let lock: WakeLockSentinel | null = null;
    let isOver = false;
    const ask = () => {
      if (document.visibilityState !== 'visible') return;
      navigator.wakeLock.request('screen').then(
        (given) => {
          if (isOver) void given.release();
          else lock = given;
        },
        () => undefined, // Refused on low battery: the work goes on, only the screen may go dark.
      );
    };
    ask();
    document.addEventListener('visibilitychange', ask);
    return () => {
      isOver = true;
      document.removeEventListener('visibilitychange', ask);
      void lock?.release();
    };
  }, [isWorking]);
}
