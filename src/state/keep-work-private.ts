import type { WorkStorage } from '../storage/work-storage.ts';
import type { Records } from './records.ts';

/** Lets the work in hand follow the records: what was kept for a rep goes with the rep, however it is deleted. Returns the call that ends it. */
export function keepWorkPrivate(records: Records, work: WorkStorage): () => void {
  return records.store.subscribe((now, before) => {
    if (now.status !== 'ready' || (now.log.reps === before.log.reps && before.status === 'ready')) return;
    const ids = new Set(now.log.reps.map((rep) => rep.id));
    if (before.status !== 'ready' || before.log.reps.some((rep) => !ids.has(rep.id))) void work.keepOnlyReps(ids);
  });
}
