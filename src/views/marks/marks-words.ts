import type { Drift, FloorPlan, MarkAdvice } from '../../compare/index.ts';

/** Reps from which the slope of a mark has an interval. */
const DRIFT_REPS = 5;

const NUMBER_WORDS: Readonly<Record<number, string>> = { 1: 'One', 2: 'Two', 3: 'Three' };

const metres = (value: number): string => `${Math.abs(value).toFixed(2)} m`;

/** How to move the mark, in words: "Move the mark back 0.40 m." */
function moveWords(moveByM: number): string {
  if (Math.abs(moveByM) < 0.005) return 'The mark is where it belongs.';
  return `Move the mark ${moveByM < 0 ? 'back' : 'forward'} ${metres(moveByM)}.`;
}

/** The sentence of the marks screen: first whether the pass fits, then whether the mark holds. */
export function markSentence(held: Drift | null, found: MarkAdvice | null, plan: FloorPlan | null): string {
  if (held === null) return 'No mark in metres yet.';
  if (found !== null && plan !== null && found.verdict !== 'fits') {
    const over = found.endsAtM > plan.edgeAtM ? 'would go over the edge of the mat' : found.verdict === 'misses' ? `would end ${metres(plan.edgeAtM - found.endsAtM)} from the edge` : 'may come too near the edge';
    return `The next pass ${over}. ${moveWords(found.moveByM)}`;
  }
  if (held.isDrifting && held.moved !== null) return `The mark does not hold: it moved ${metres(held.moved)} ${held.moved > 0 ? 'forward' : 'back'} since rep ${held.sinceRep ?? 1}.`;
  if (held.next === null) return 'One rep so far. One more, and the spread of the mark is known.';
  const fits = found !== null;
  if (held.perRepCi95 === null) {
    const more = DRIFT_REPS - held.count;
    return `${fits ? 'The pass fits. ' : ''}${NUMBER_WORDS[more] ?? String(more)} more ${more === 1 ? 'rep' : 'reps'}, and it can be said whether the mark holds.`;
  }
  return fits ? 'The mark holds and the pass fits.' : 'The mark holds.';
}

/** The figures behind the sentence. */
export function markFigure(held: Drift | null, found: MarkAdvice | null): string | null {
  if (held === null || held.next === null || held.spreadSd === null) return null;
  const [low, high] = held.next.ci95;
  const next = `Hands of rep ${held.next.rep} expected ${low.toFixed(2)} to ${high.toFixed(2)} m from the mark (19 times in 20), spread ± ${held.spreadSd.toFixed(2)} m.`;
  if (found === null) return next;
  return `${next} The pass would end at ${found.endsAtM.toFixed(2)} m, ${found.endsCi95[0].toFixed(2)} to ${found.endsCi95[1].toFixed(2)} m.`;
}

/** Where the mark belongs for the next rep, with its interval. */
export function suggestedWords(found: MarkAdvice, plan: FloorPlan): string {
  const [low, high] = found.suggestedCi95;
  const where = `Put the mark ${placeWords(found.suggestedMarkAtM)}: 39 passes in 40 then stay ${metres(plan.keepFreeM)} away from the edge.`;
  return `${where} With the mark ${placeWords(high)} half of them would; from there back to ${placeWords(low).replace(/^at /, '')} you choose how much room you want.`;
}

/** A place on the floor from the coach's zero: "at 1.20 m", "0.40 m behind your zero". */
function placeWords(atM: number): string {
  return atM <= -0.005 ? `${metres(atM)} behind your zero` : `at ${metres(atM)}`;
}

/** How a length changes over the session: "holds", or how much it moved. */
export function driftWords(held: Drift, unit: string): string {
  if (held.perRepCi95 === null) return held.count < DRIFT_REPS ? 'too few reps to tell a drift (five are needed)' : 'no drift shown';
  if (!held.isDrifting || held.perRep === null || held.moved === null) return 'no drift shown';
  const way = held.perRep > 0 ? 'longer' : 'shorter';
  return `${way} by ${Math.abs(held.moved).toFixed(2)} ${unit} since rep ${held.sinceRep ?? 1}`;
}
