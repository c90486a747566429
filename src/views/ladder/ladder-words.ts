import type { Ladder, LadderRuleKind, Rung } from '../../athletelog/index.ts';

/** What the measures say about a start, in one sentence; never that an athlete is ready. */
export function shapesSentence(rung: Rung, ladder: Ladder): string {
  const { verdicts } = rung;
  const clear = verdicts['in-band'] + verdicts.near + verdicts.out;
  const looked = Math.min(rung.reps, ladder.lastReps);
  const last = `in the last ${looked} ${looked === 1 ? 'rep' : 'reps'}`;
  switch (rung.shapes) {
    case 'hold':
      return `The shapes hold: ${verdicts['in-band']} of ${clear} clear ones on target ${last}.`;
    case 'not-yet':
      return `The shapes do not hold yet: ${verdicts['in-band']} of ${clear} clear ones on target ${last}.`;
    case 'too-few-reps':
      return rung.reps === 0 ? 'No rep yet, so the measures say nothing.' : `${rung.reps} of the ${ladder.fewestReps} reps that it takes to say something.`;
    case 'cannot-tell':
      return `The clips cannot tell: ${verdicts['too-close']} shapes too close to call and ${verdicts['not-measured']} not measured ${last}.`;
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
