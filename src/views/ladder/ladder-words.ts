import { workOn, type Ladder, type LadderRuleKind, type Rung } from '../../athletelog/index.ts';
import { MEASURE_NAMES } from '../../cues/index.ts';
import { START_NAMES } from '../../starts/start.ts';

/** What the measures say about a start, in one sentence; never that an athlete is ready. */
export function shapesSentence(rung: Rung, ladder: Ladder): string {
  const { verdicts } = rung;
  const clear = verdicts['in-band'] + verdicts.near + verdicts.out;
  const last = `in the last ${rung.looked} ${rung.looked === 1 ? 'rep' : 'reps'}`;
  switch (rung.shapes) {
    case 'hold':
      return `The shapes hold: ${verdicts['in-band']} of ${clear} clear ones on target ${last}.`;
    case 'not-yet':
      return `The shapes do not hold yet: ${verdicts['in-band']} of ${clear} clear ones on target ${last}${verdicts['in-band'] >= ladder.holdShare * clear ? ', but one is off by habit' : ''}.`;
    case 'too-few-reps':
      return rung.reps === 0 ? 'No rep yet, so the measures say nothing.' : `${rung.looked} of the ${ladder.fewestReps} filmed reps that it takes to say something.`;
    case 'cannot-tell':
      return `The clips cannot tell: ${verdicts['too-close']} shapes too close to call and ${verdicts['not-measured']} not measured ${last}.`;
  }
}

/** What is off target most often, in words, e.g. "Off target: lunge length in 2 of 4, hip lean in 1 of 3."; empty when nothing is. */
export function offWords(rung: Rung): string {
  if (rung.off.length === 0) return '';
  return `Off target: ${rung.off.map(({ measure, out, clear }) => `${MEASURE_NAMES[measure].toLowerCase()} in ${out} of ${clear}`).join(', ')}.`;
}

/** The sentence of the ladder: where there is something to do, and what kind of thing. */
export function ladderSentence(rungs: readonly Rung[], ladder: Ladder): string {
  const filmed = rungs.filter((rung) => rung.reps > 0);
  const next = workOn(filmed);
  if (filmed.length === 0) return `Film ${ladder.fewestReps} reps of a start, and the measures say how its shapes hold.`;
  if (next === null) return 'The shapes hold in every start that was filmed.';
  const name = START_NAMES[next.start];
  switch (next.shapes) {
    case 'too-few-reps': {
      const more = ladder.fewestReps - next.looked;
      return `${name}: film ${more} more ${more === 1 ? 'rep' : 'reps'}, then something can be said.`;
    }
    case 'cannot-tell':
      return `${name}: these clips cannot tell.`;
    default:
      return `To work on: ${name.toLowerCase()}.`;
  }
}

/** Short word for what the measures say. */
export const SHAPES_WORDS: Readonly<Record<Rung['shapes'], string>> = {
  hold: 'shapes hold',
  'not-yet': 'shapes not yet',
  'too-few-reps': 'too few reps',
  'cannot-tell': 'cannot tell',
};

/** Word in front of a rule of the surface. */
export const RULE_WORDS: Readonly<Record<LadderRuleKind, string>> = {
  'usual-minimum': 'Usual minimum',
  'very-advanced-only': 'Very advanced only',
  'beginner-drill': 'Drill for beginners',
  'coach-at-side': 'Coach at the side',
  'never-in-sets': 'Never in sets',
};
