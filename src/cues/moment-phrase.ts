import type { Moment, MomentId } from '../phases/moment.ts';
import { MOMENT_WORDS } from './measure-words.ts';
import { valueWithErrorText } from './phrase.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** A passé less sure than this, seconds (95 %), may be another time that the knee came up: one alone is known to less. Chosen. */
const MAY_BE_ANOTHER_S = 0.1;

/** When a key moment is, with its 95 % interval, and what it is; how to place it where it was not found or may be another. */
export function momentPhrase(id: MomentId, moment: Moment): string {
  if (!moment.found) return 'Not found. Show its frame, choose this moment, then say: is the frame shown.';
  const half = Z95 * moment.sd;
  const when = `${valueWithErrorText(moment.t, [moment.t - half, moment.t + half], 's')}. ${MOMENT_WORDS[id].meaning}`;
  if (id !== 'passe' || half < MAY_BE_ANOTHER_S) return when;
  return `${when} It may be another moment when the knee is nearly as high: if so, choose this moment, show that frame, then say: is the frame shown.`;
}
