/** Runs one piece of writing at a time, over all tabs of the app. */
export type WriteLock = <T>(work: () => Promise<T>) => Promise<T>;

const LOCK_NAME = 'lungeline-writes';

/** One writer at a time through the browser's own locks; without them, one at a time in this tab. https://w3c.github.io/web-locks/ */
export function createWriteLock(locks: LockManager | undefined): WriteLock {
  if (locks !== undefined) return (work) => locks.request(LOCK_NAME, work);
  let last: Promise<unknown> = Promise.resolve();
  return (work) => {
    const next = last.then(work, work);
    last = next.catch(() => undefined); // The caller sees the failure; the line goes on.
    return next;
  };
}
