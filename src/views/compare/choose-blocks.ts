import { repsOf } from '../../athletelog/index.ts';
import type { AthleteLog, Rep } from '../../athletelog/index.ts';
import type { StartId } from '../../starts/start.ts';

/** Ids of the reps on both sides of a comparison. */
export interface Blocks {
  readonly before: readonly string[];
  readonly after: readonly string[];
}

/**
 * What to compare when nobody has chosen: in the latest session with this start, its reps before the first drill against those
 * after it; without a drill the last rep against the one before; with a single rep there, that against the session before.
 */
export function proposedBlocks(log: AthleteLog, athleteId: string, start: StartId): Blocks {
  const reps = repsOf(log, { athleteId, start });
  const last = reps.at(-1);
  if (last === undefined) return { before: [], after: [] };
  const session = repsOf(log, { athleteId, sessionId: last.sessionId });
  const drillAt = session.find((rep) => rep.start !== start && session.some((each) => each.start === start && each.number < rep.number))?.number;
  const own = session.filter((rep) => rep.start === start);
  if (drillAt !== undefined) {
    const before = own.filter((rep) => rep.number < drillAt);
    const after = own.filter((rep) => rep.number > drillAt);
    if (before.length > 0 && after.length > 0) return { before: ids(before), after: ids(after) };
  }
  const previous = own.at(-2);
  if (previous !== undefined) return { before: [previous.id], after: [last.id] };
  const earlier = reps.findLast((rep) => rep.sessionId !== last.sessionId);
  return { before: earlier === undefined ? [] : ids(reps.filter((rep) => rep.sessionId === earlier.sessionId)), after: [last.id] };
}

/** Puts a rep on one side or takes it off; a rep is never on both. */
export function toggleRep(blocks: Blocks, side: 'before' | 'after', id: string): Blocks {
  const without = (list: readonly string[]) => list.filter((each) => each !== id);
  const next = { before: without(blocks.before), after: without(blocks.after) };
  return blocks[side].includes(id) ? next : { ...next, [side]: [...next[side], id] };
}

/** Reps of a session in order, drills of other starts joined into gaps. */
export type RepOrGap = { readonly kind: 'rep'; readonly rep: Rep } | { readonly kind: 'gap'; readonly start: StartId; readonly count: number };

/** A session as the choice of reps shows it: the reps of one start, and what was done between them. */
export function repsAndGaps(log: AthleteLog, athleteId: string, sessionId: string, start: StartId): readonly RepOrGap[] {
  const line: RepOrGap[] = [];
  for (const rep of repsOf(log, { athleteId, sessionId })) {
    const before = line.at(-1);
    if (rep.start === start) line.push({ kind: 'rep', rep });
    else if (before?.kind === 'gap' && before.start === rep.start) line[line.length - 1] = { ...before, count: before.count + 1 };
    else line.push({ kind: 'gap', start: rep.start, count: 1 });
  }
  return line;
}

function ids(reps: readonly Rep[]): readonly string[] {
  return reps.map((rep) => rep.id);
}
