import type { Ladder } from '../../athletelog/index.ts';
import type { SessionRep } from '../../compare/index.ts';
import type { StartId } from '../../starts/start.ts';

/** Tries of a start in a row, of which the ladder says "never in sets". */
export interface InARow {
  readonly kind: 'in-a-row';
  readonly start: StartId;
  readonly tries: number;
  readonly text: string;
}

/** Advice when the latest two or more reps are of a start that the ladder keeps to single tries; null when they are not. */
export function inARow(reps: readonly SessionRep[], ladder: Ladder): InARow | null {
  const last = reps.at(-1);
  if (last === undefined) return null;
  const rule = ladder.rules.find((each) => each.kind === 'never-in-sets' && each.starts.includes(last.start));
  if (rule === undefined) return null;
  const tries = reps.length - 1 - reps.findLastIndex((rep) => rep.start !== last.start);
  return tries < 2 ? null : { kind: 'in-a-row', start: last.start, tries, text: rule.text };
}
