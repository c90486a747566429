import { fasterWhen } from '../../compare/index.ts';
import type { Difference } from '../../compare/index.ts';
import { MEASURE_NAMES } from '../../cues/index.ts';
import { amount, changeText, rangeText } from '../analysis/amounts.ts';
import { contradicting, type ComparedMeasure } from './compare-blocks.ts';

/** The verdict on a difference as one word or phrase. */
export function verdictWord(measure: ComparedMeasure): string {
  const { verdict } = measure.difference;
  switch (verdict) {
    case 'faster':
    case 'slower':
      return verdict;
    case 'higher':
      return measure.unit === 'leg' || measure.unit === 'm' ? 'longer' : 'more';
    case 'lower':
      return measure.unit === 'leg' || measure.unit === 'm' ? 'shorter' : 'less';
    case 'no-difference':
      return 'no difference shown';
  }
}

/** The plain sentence that answers "is it faster?". `first` and `second` name the blocks as subjects: "Rep 2", "after the drill". */
export function fasterSentence(head: ComparedMeasure | null, isRepAgainstRep: boolean): string {
  if (head === null) return 'Speed was not measured on both sides, so nobody can say if it is faster.';
  const { verdict, about } = head.difference;
  if (verdict === 'no-difference') return 'No difference that these clips can show.';
  if (about === 'these-reps') return isRepAgainstRep ? `This rep was ${verdict}.` : `These reps were ${verdict}.`;
  return verdict === 'faster' ? 'Faster.' : 'Slower.';
}

/** The figure behind the sentence: how much, with its interval. */
export function fasterFigure(head: ComparedMeasure): string {
  const { value, ci95 } = head.difference;
  return `${MEASURE_NAMES[head.id]}: ${changeText(value, head.unit)}, 95 % interval ${rangeText(ci95, head.unit)}.`;
}

/** What would settle it, or what the interval leaves out; empty when all is said. */
export function settleWords(head: ComparedMeasure): string {
  const { verdict, about, moreReps } = head.difference;
  if (verdict !== 'no-difference') {
    return about === 'these-reps'
      ? 'With no other rep of this start, only the error of the measurement is counted. How much this athlete scatters from rep to rep is not known yet: film two or more on each side.'
      : '';
  }
  if (moreReps === null) {
    return about === 'these-reps'
      ? 'Film two or more reps on each side; then it can be said how many would settle it.'
      : 'More than 20 further reps on each side would be needed. For training it is the same.';
  }
  return `About ${moreReps} more ${moreReps === 1 ? 'rep' : 'reps'} on each side would settle a difference of this size (four times in five).`;
}

/** The smallest change that counts, for these reps and for one rep against one. */
export function smallestWords(measure: ComparedMeasure): string {
  const { ci95 } = measure.difference;
  const ofThese = (ci95[1] - ci95[0]) / 2;
  const source = measure.smallestFrom === 'spread' ? 'measurement and rep-to-rep spread' : 'measurement alone';
  return `Smallest change that shows: ${amount(ofThese, measure.unit)} with these reps, ${amount(measure.smallestOfOne, measure.unit)} one rep against one (${source}).`;
}

/** A warning when another measure of speed clearly says the opposite; null when none does. */
export function contradictionWords(compared: readonly ComparedMeasure[], head: ComparedMeasure): string | null {
  const [other] = contradicting(compared, head);
  return other === undefined ? null : `But “${MEASURE_NAMES[other.id]}” says ${other.difference.verdict}. Look at both before you decide.`;
}

/** Words for the two ends of a drawn difference, left end first; faster always lies to the right. */
export function endWords(measure: ComparedMeasure): readonly [string, string] {
  if (fasterWhen(measure.id) !== 'neither') return ['slower', 'faster'];
  return measure.unit === 'leg' || measure.unit === 'm' ? ['shorter', 'longer'] : ['less', 'more'];
}

/** +1 when more of the measure is drawn to the right, −1 when less is (times: less is faster). */
export function drawnSign(measure: ComparedMeasure): 1 | -1 {
  return fasterWhen(measure.id) === 'lower' ? -1 : 1;
}

/** Whether a difference is one that a coach may act on. */
export function isShown(found: Difference): boolean {
  return found.verdict !== 'no-difference';
}
