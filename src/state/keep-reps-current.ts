import type { Clip, Session } from './session.ts';
import type { Records } from './records.ts';
import { measuredPart } from './rep-draft.ts';

/** Rest after the last change before a saved rep is written again, milliseconds; chosen: a moment that is being dragged is written once. */
const REST_MS = 400;

/**
 * Keeps saved reps as they are read on screen: what is stated about an open clip goes to its rep by itself. Returns the call
 * that ends it. A change of the coach's tolerances alone does not touch a rep: it keeps the profile that judged it.
 */
export function keepRepsCurrent(session: Session, records: Records): () => void {
  const timers = new Map<string, ReturnType<typeof setTimeout>>();
  const write = (clip: Clip) => {
    timers.delete(clip.id);
    const now = session.store.getState().clips.find((each) => each.id === clip.id);
    if (now?.stage.kind !== 'done' || now.saved === null) return;
    const { repId, athleteId } = now.saved;
    const { analysis, reading, readUnder } = now.stage;
    if (readUnder !== now.history.present) {
      // Still being read: written once it is there.
      timers.set(clip.id, setTimeout(() => { write(clip); }, REST_MS));
      return;
    }
    const part = measuredPart(analysis, reading, now.history.present, records.profileFor(athleteId), now.isDemo);
    void records.putMeasured(repId, part, analysis);
  };
  const end = session.store.subscribe((after, before) => {
    for (const clip of after.clips) {
      const was = before.clips.find((each) => each.id === clip.id);
      if (clip.stage.kind !== 'done' || clip.saved === null || was?.saved?.repId !== clip.saved.repId) continue;
      const isRestated = was.history.present !== clip.history.present;
      const isMeasuredAgain = was.stage.kind === 'done' ? was.stage.analysis !== clip.stage.analysis : true;
      if (!isRestated && !isMeasuredAgain) continue;
      clearTimeout(timers.get(clip.id));
      timers.set(clip.id, setTimeout(() => { write(clip); }, REST_MS));
    }
  });
  return () => {
    end();
    for (const timer of timers.values()) clearTimeout(timer);
  };
}
