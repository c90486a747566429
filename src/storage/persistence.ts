import type { PersistAnswer } from './rows.ts';

/** Asks the browser to keep what is stored here even when room gets short, and returns its answer. https://storage.spec.whatwg.org/ */
export async function askToPersist(storage: StorageManager | undefined): Promise<PersistAnswer> {
  if (typeof storage?.persist !== 'function') return 'cannot-say';
  return (await storage.persist()) ? 'promised' : 'not-promised';
}
