// @vitest-environment jsdom
import { useState } from 'react';
import { afterEach, describe, expect, it } from 'vitest';
import type { AthleteLog } from '../../src/athletelog/index.ts';
import { marks, markAdvice, type FloorPlan } from '../../src/compare/index.ts';
import { floorTraces } from '../../src/views/marks/floor-trace.ts';
import { heldMark, isClearlyBest, markHolds } from '../../src/views/marks/marks-model.ts';
import { MarksView } from '../../src/views/marks/marks-view.tsx';
import { markSentence, suggestedWords } from '../../src/views/marks/marks-words.ts';
import { mount, type Mounted } from '../support/mount.tsx';
import { readTruthFile } from '../support/read-truth-file.ts';
import { seasonLog } from '../support/season-log.ts';
import { truthAnalysis, truthReading } from '../support/truth-reading.ts';

const PLAN: FloorPlan = { markAtM: 1, edgeAtM: 14, passLengthM: 6, passLengthSdM: 0.1, keepFreeM: 0.5 };
const none = new Map();

describe('where a rep touched the floor', () => {
  it('the hands stand at the mark plus the measured distance, steps at the sum of their lengths times the leg length', () => {
    const log = seasonLog();
    const rep = log.reps.find((each) => each.id === 'mika-8-1')!;
    const [trace] = floorTraces(log, 'mika', 's8', 1, none);
    const value = (id: 'mark.toHands' | 'steps.length[1]' | 'steps.length[2]') => {
      const measure = rep.measures[id];
      return measure?.measured === true ? measure.value : NaN;
    };
    // Leg length on 26 October, after the last measurement on 20 October: 0.712 m.
    expect(trace?.handsM).toBeCloseTo(1 + value('mark.toHands'), 9);
    expect(trace?.stepsM[1]).toBeCloseTo(1 + 0.712 * (value('steps.length[1]') + value('steps.length[2]')), 9);
    expect(trace?.plantM).toBeNull();
  });

  it('a rep’s own mark counts before the plan’s', () => {
    const log = seasonLog();
    const moved: AthleteLog = { ...log, reps: log.reps.map((each) => (each.id === 'mika-8-2' ? { ...each, markAtM: 1.5 } : each)) };
    expect(floorTraces(moved, 'mika', 's8', 1, none).map((trace) => trace.markM).slice(0, 3)).toEqual([1, 1.5, 1]);
  });

  it('without a measured distance lunge and hands come from the stored track, as far apart as the truth says', () => {
    const truth = readTruthFile('sprint-lunge-good');
    const reading = truthReading(truthAnalysis(truth, 'a.mp4'), truth, { heightM: 1.58 });
    const log = seasonLog();
    const bare: AthleteLog = { ...log, reps: log.reps.map((each) => (each.id === 'mika-8-1' ? { ...each, start: 'sprint-lunge' as const, measures: {} } : each)) };
    const [trace] = floorTraces(bare, 'mika', 's8', 2, new Map([['mika-8-1', reading]]));
    // Truth of the clip: the first hand lands 1.14 leg lengths of 0.7586 m ahead of the front ankle; the toe is up to 0.25 m ahead of the ankle, a fingertip up to 0.1 m ahead of the hand.
    const apart = trace!.handsM! - trace!.plantM!;
    expect(apart).toBeGreaterThan(1.14 * 0.7586 - 0.25);
    expect(apart).toBeLessThan(1.14 * 0.7586 + 0.1);
    expect(trace!.markM).toBe(2);
    expect(trace!.plantM!).toBeGreaterThan(2.7);
  });
});

describe('what is said about the mark', () => {
  const held = marks([3.0, 3.1, 3.05, 3.1, 3.0].map((value, i) => ({ value, unit: 'm', sd: 0.02, rep: i + 1 })));
  it('fits, too near, over the edge: by where the pass is expected to end', () => {
    const at = (edgeAtM: number) => markSentence(held, markAdvice(held!, { ...PLAN, edgeAtM }), { ...PLAN, edgeAtM });
    // Expected end: 1 + 3.05 + 6 = 10.05 m.
    expect(at(14)).toBe('The mark holds and the pass fits.');
    expect(at(10.7)).toMatch(/^The next pass may come too near the edge\. Move the mark back/);
    expect(at(10.4)).toMatch(/^The next pass would end 0\.35 m from the edge\. Move the mark back/);
    expect(at(9.5)).toMatch(/^The next pass would go over the edge of the mat\. Move the mark back/);
  });

  it('below five reps nobody can say that a mark holds, even if every hand lands on the same spot', () => {
    const few = (count: number) => marks(Array.from({ length: count }, (_, i) => ({ value: 3, unit: 'm' as const, sd: 0.02, rep: i + 1 })));
    expect(markSentence(few(1), null, null)).toBe('One rep so far. One more, and the spread of the mark is known.');
    expect(markSentence(few(2), null, null)).toBe('Three more reps, and it can be said whether the mark holds.');
    expect(markSentence(few(4), null, null)).toBe('One more rep, and it can be said whether the mark holds.');
    expect(markSentence(few(5), null, null)).toBe('The mark holds.');
    expect(markSentence(few(4), markAdvice(few(4)!, PLAN), PLAN)).toBe('The pass fits. One more rep, and it can be said whether the mark holds.');
  });

  it('a place behind the zero is said as such, not as a negative length', () => {
    const words = (edgeAtM: number) => { const plan = { ...PLAN, edgeAtM }; return suggestedWords(markAdvice(held!, plan)!, plan); };
    expect(words(8)).toMatch(/^Put the mark \d\.\d\d m behind your zero: 39 passes in 40/);
    expect(words(14)).toMatch(/^Put the mark at \d\.\d\d m: 39 passes in 40/);
    expect(words(8)).not.toMatch(/[-−]\d/);
  });

  it('a mark that creeps 0.1 m with every rep does not hold', () => {
    const creeping = marks([3.0, 3.1, 3.2, 3.3, 3.4, 3.5].map((value, i) => ({ value, unit: 'm', sd: 0.01, rep: i + 1 })));
    expect(markSentence(creeping, null, null)).toBe('The mark does not hold: it moved 0.50 m forward since rep 1.');
    expect(markSentence(null, null, null)).toBe('No mark in metres yet.');
  });

  it('the start with the smaller spread comes first; clearly best only when the intervals part', () => {
    const holds = markHolds(seasonLog(), 'mika');
    expect(holds.map((hold) => hold.sdM)).toEqual(holds.map((hold) => hold.sdM).toSorted((a, b) => a - b));
    expect(holds.find((hold) => hold.start === 'two-step-run')).toMatchObject({ reps: 48, sessions: 8 });
    const [a, b] = holds;
    expect(isClearlyBest([{ ...a!, ci95: [0.01, 0.02] }, { ...b!, ci95: [0.03, 0.05] }])).toBe(true);
    expect(isClearlyBest([{ ...a!, ci95: [0.01, 0.04] }, { ...b!, ci95: [0.03, 0.05] }])).toBe(false);
    expect(isClearlyBest([a!])).toBe(false);
  });
});

describe('Marks', () => {
  let shown: Mounted;
  afterEach(async () => { await shown.unmount(); });
  const plans: FloorPlan[] = [];
  function Held({ log, first }: { readonly log: AthleteLog; readonly first: FloorPlan | null }) {
    const [plan, setPlan] = useState(first);
    return <MarksView log={log} athleteId="mika" sessionId="s8" plan={plan} readings={none} onPlan={(next) => { plans.push(next); setPlan(next); }} />;
  }

  it('draws a lane for every rep and warns when the edge is typed nearer', async () => {
    shown = await mount(<Held log={seasonLog()} first={PLAN} />);
    expect(shown.part(/^Floor strip with 9 reps/)).toBeTruthy();
    expect(shown.part('Marks').textContent).toContain('The mark holds and the pass fits.');
    await shown.type(shown.control('Edge of the mat at'), '9,5');
    expect(plans.at(-1)?.edgeAtM).toBe(9.5);
    expect(shown.part('Marks').textContent).toContain('over the edge of the mat');
    expect(shown.part('Marks').textContent).toContain('39 passes in 40');
    expect(await shown.violations()).toEqual([]);
  });

  it('takes no letters and no negative length, and says what it takes', async () => {
    shown = await mount(<Held log={seasonLog()} first={PLAN} />);
    const before = plans.length;
    await shown.type(shown.control('Keep free'), 'much');
    expect(shown.control('Keep free').getAttribute('aria-invalid')).toBe('true');
    await shown.type(shown.control('Keep free'), '-1');
    expect(shown.page.textContent).toContain('A number from 0 to 5');
    expect(plans).toHaveLength(before);
  });

  it('gives no advice on a floor that nobody wrote down', async () => {
    shown = await mount(<Held log={seasonLog()} first={null} />);
    expect(shown.part('Marks').textContent).not.toContain('pass');
    expect(shown.page.textContent).toContain('Write where the mark and the edge are');
    await shown.click(shown.control('These figures are right'));
    expect(shown.part('Marks').textContent).toContain('pass');
  });

  it('the table holds every rep of the session', async () => {
    shown = await mount(<Held log={seasonLog()} first={PLAN} />);
    const rows = [...shown.page.querySelectorAll('table')].at(-1)!.querySelectorAll('tbody tr');
    expect(rows).toHaveLength(9);
    expect(heldMark(seasonLog(), 'mika', 's8', 'two-step-run')?.count).toBe(6);
  });
});
