// @vitest-environment jsdom
import { useState } from 'react';
import { afterEach, describe, expect, it } from 'vitest';
import { DEFAULT_LADDER, LADDER_CANNOT_SAY, ladderOf, ladderSchema, trend, type AthleteLog, type Ladder, type Rep } from '../../src/athletelog/index.ts';
import { DEFAULT_STOP_RULES, stopRulesSchema, type StopRules } from '../../src/compare/index.ts';
import type { StartId } from '../../src/starts/start.ts';
import { START_IDS, START_NAMES } from '../../src/starts/start.ts';
import { DEFAULT_PROFILE } from '../../src/tolerances/index.ts';
import { LadderView } from '../../src/views/ladder/ladder-view.tsx';
import { ladderSentence, offWords } from '../../src/views/ladder/ladder-words.ts';
import { adviceFor } from '../../src/views/session-advice/advice-for.ts';
import { inARow } from '../../src/views/session-advice/in-a-row.ts';
import { SessionAdvice } from '../../src/views/session-advice/session-advice.tsx';
import { trendFigure, growthWords } from '../../src/views/trends/trend-words.ts';
import { TrendsView, trendsOf } from '../../src/views/trends/trends-view.tsx';
import { mount, type Mounted } from '../support/mount.tsx';
import { seasonLog } from '../support/season-log.ts';

const today = (log: AthleteLog, change: (rep: Rep) => Rep): AthleteLog => ({ ...log, reps: log.reps.map((rep) => (rep.athleteId === 'mika' && rep.sessionId === 's8' ? change(rep) : rep)) });
/** Hip speed that falls 0.07 leg lengths/s with every rep, 0.02 measurement error. */
const tiring = (log: AthleteLog) => today(log, (rep) => ({
  ...rep,
  measures: { ...rep.measures, 'launch.hipSpeed': { measured: true, value: 4.5 - 0.07 * rep.number, unit: 'leg/s', ci95: [4.48 - 0.07 * rep.number, 4.52 - 0.07 * rep.number], t: null, frame: null, source: 'detected' } },
}));
const say = (log: AthleteLog, rules: StopRules = DEFAULT_STOP_RULES) => adviceFor(log, 'mika', 's8', rules, DEFAULT_LADDER);

let shown: Mounted;
afterEach(async () => { await shown.unmount(); });

describe('advice when to stop', () => {
  const Advice = ({ log, onRules = () => undefined }: { readonly log: AthleteLog; readonly onRules?: (rules: StopRules) => void }) => {
    const [rules, setRules] = useState(DEFAULT_STOP_RULES);
    return <SessionAdvice log={log} athleteId="mika" sessionId="s8" rules={rules} ladder={DEFAULT_LADDER} onRules={(next) => { onRules(next); setRules(next); }} />;
  };

  it('pain stops the day before anything else, with the rep that told it', async () => {
    const log = tiring(today(seasonLog(), (rep) => ({ ...rep, hasPain: rep.number === 4 })));
    expect(say(log)[0]).toMatchObject({ say: 'Something hurts: stop. No more passes today.', figure: 'Pain was noted at rep 4.', isStop: true });
    shown = await mount(<Advice log={log} />);
    expect(shown.part('Advice').textContent).toContain('Pain was noted at rep 4.');
    expect(await shown.violations()).toEqual([]);
  });

  it('a speed that falls 0.56 from 4.43 (13 %) over 6 reps stops tumbling, figures and rule beside it', async () => {
    shown = await mount(<Advice log={tiring(seasonLog())} />);
    const tape = shown.part('Advice').textContent;
    expect(tape).toContain('Hip speed at launch falls: stop tumbling for today.');
    expect(tape).toContain('0.56 leg lengths/s less over 6 reps, 13 % down');
    expect(shown.page.textContent).toContain('A fall of 3 % or more');
    expect(shown.part('What is watched').textContent).toContain('two-step run: falls');
  });

  it('nothing to say is no clearance', async () => {
    shown = await mount(<Advice log={seasonLog()} />);
    expect(shown.part('Advice').textContent).toContain('That is no clearance');
    expect(shown.part('Did the drill help?').textContent).toContain('3 reps before and 3 after hop from passé');
  });

  it('three tries of a drill are enough; a coach who allows five is not told so', () => {
    const log = { ...seasonLog(), reps: seasonLog().reps.filter((rep) => rep.sessionId !== 's8' || rep.number <= 6) };
    // The third hop was not clearly faster than the two before it.
    expect(say(log).map((each) => each.say)).toContain('3 tries are enough. Back to the two-step run, and compare.');
    expect(say(log, { ...DEFAULT_STOP_RULES, drillTries: 5 })).toEqual([]);
  });

  it('two half-kneeling tries in a row are a set; one is not, and neither are two of another start', () => {
    const of = (...starts: readonly StartId[]) => inARow(starts.map((start) => ({ start, values: {}, hasPain: false })), DEFAULT_LADDER);
    expect(of('two-step-run', 'half-kneeling', 'half-kneeling')).toMatchObject({ start: 'half-kneeling', tries: 2 });
    expect(of('half-kneeling', 'half-kneeling', 'half-kneeling')).toMatchObject({ tries: 3 });
    expect(of('half-kneeling', 'two-step-run', 'half-kneeling')).toBeNull();
    expect(of('hop-from-passe', 'hop-from-passe')).toBeNull();
    expect(of()).toBeNull();
  });

  it('a session that begins in leg lengths and ends in metres is judged in metres, without failing', () => {
    const log = today(seasonLog(), (rep) => {
      const speed = rep.measures['launch.hipSpeed'];
      return rep.number < 8 || speed?.measured !== true ? rep : { ...rep, measures: { ...rep.measures, 'launch.hipSpeed': { ...speed, unit: 'm/s' as const } } };
    });
    expect(() => say(log)).not.toThrow();
  });

  it('edited rules always pass the gate of the store, and the first rules come back', async () => {
    const edits: StopRules[] = [];
    shown = await mount(<Advice log={seasonLog()} onRules={(rules) => { edits.push(rules); }} />);
    await shown.type(shown.control('Tries at most'), '5');
    await shown.type(shown.control('over at least'), '2');
    const kick = [...shown.part('Tired legs').querySelectorAll('label')].find((label) => label.textContent === 'Speed of the kick')!;
    await shown.click(kick.querySelector('input')!);
    await shown.click(shown.control('Remind of a rest by the number of reps'));
    expect(edits.map((rules) => stopRulesSchema.safeParse(rules).success)).toEqual(edits.map(() => true));
    // Below five reps nothing can be told: the 2 is refused.
    expect(edits.at(-1)).toMatchObject({ drillTries: 5, fallReps: 5, mostReps: null, fallingMeasures: [...DEFAULT_STOP_RULES.fallingMeasures, 'kick.rate'] });
    await shown.click(shown.control('Back to the first rules'));
    expect(edits.at(-1)).toEqual(DEFAULT_STOP_RULES);
    // Every change is taken back one by one; a number typed in several keys is one change.
    const takeBack = async () => { await shown.click(shown.control('Take back the last change')); };
    await takeBack();
    expect(edits.at(-1)).toMatchObject({ drillTries: 5, mostReps: null });
    for (let i = 0; i < 3; i += 1) await takeBack();
    expect(edits.at(-1)).toEqual(DEFAULT_STOP_RULES);
    expect(() => shown.control('Take back the last change')).toThrow();
  });

  it('before the first rep it says what to do', async () => {
    shown = await mount(<SessionAdvice log={{ ...seasonLog(), reps: [] }} athleteId="mika" sessionId="s8" rules={DEFAULT_STOP_RULES} ladder={DEFAULT_LADDER} onRules={() => undefined} />);
    expect(shown.page.textContent).toContain('Save the first rep');
    expect(await shown.violations()).toEqual([]);
  });
});

describe('trends', () => {
  it('a speed that rises 0.06 a week is rising and faster; the figures say so for 30 days', async () => {
    const log = seasonLog({ speedPerSession: 0.06 });
    shown = await mount(<TrendsView log={log} athleteId="mika" profile={DEFAULT_PROFILE} />);
    expect(shown.part('Trend').textContent).toContain('Hip speed at launch is rising: the start gets faster.');
    const found = trend(log, 'mika', 'two-step-run', 'launch.hipSpeed')!;
    // 0.06 in 7 days are 0.257 in 30; six reps a session scatter by 0.08.
    expect(found.per30Days).toBeCloseTo(0.257, 1);
    expect(trendFigure(found)).toMatch(/^In 30 days 0\.\d\d leg lengths\/s more, 95 % interval/);
    expect(await shown.violations()).toEqual([]);
  });

  it('scatter alone is “no trend that these sessions can show”, and four sessions are too few', async () => {
    shown = await mount(<TrendsView log={seasonLog()} athleteId="mika" profile={DEFAULT_PROFILE} />);
    expect(shown.part('Trend').textContent).toContain('no trend that these sessions can show');
    const short = { ...seasonLog(), reps: seasonLog().reps.filter((rep) => ['s1', 's2', 's3', 's4'].includes(rep.sessionId)) };
    await shown.show(<TrendsView key="short" log={short} athleteId="mika" profile={DEFAULT_PROFILE} />);
    expect(shown.part('Trend').textContent).toContain('4 of the 5 sessions');
  });

  it('draws the band of a judged measure, none for hip speed, and growth with its two measurements', async () => {
    shown = await mount(<TrendsView log={seasonLog()} athleteId="mika" profile={DEFAULT_PROFILE} />);
    const chart = () => shown.page.querySelector('svg[role=img]')!;
    expect(chart().textContent).not.toContain('aim');
    expect(chart().textContent).toContain('leg 0.70 m');
    expect(chart().textContent).toContain('leg 0.71 m');
    await shown.choose(shown.control('Measure'), 'passe.knee');
    expect(chart().textContent).toContain('aim');
    expect(shown.part('Trend').textContent).toContain('Passé knee');
  });

  it('the table behind the chart holds every session and all of its reps', async () => {
    shown = await mount(<TrendsView log={seasonLog()} athleteId="mika" profile={DEFAULT_PROFILE} />);
    const rows = [...shown.part('Figures of the chart').querySelectorAll('tbody tr')];
    expect(rows).toHaveLength(8);
    for (const row of rows) expect(row.lastElementChild?.textContent.split(';')).toHaveLength(6);
  });

  it('growth of 1.7 % counts in metres and is taken out in leg lengths', () => {
    const found = { ...trend(seasonLog(), 'mika', 'two-step-run', 'mark.toHands')!, grewPercent: 1.71 };
    expect(growthWords(found)).toContain('about as much of a rise in metres is growth alone');
    expect(growthWords({ ...found, unit: 'leg' })).toContain('In leg lengths that is taken out');
    expect(growthWords({ ...found, grewPercent: null })).toContain('Growth is not known');
  });

  it('lists every measure of the start but sides and counts', () => {
    const ids = trendsOf(seasonLog(), 'mika', 'two-step-run').map((each) => each.measure);
    expect(ids).not.toContain('steps.count');
    expect(ids).not.toContain('steps.firstLeg');
    expect(ids[0]).toBe('launch.hipSpeed');
    expect(new Set(ids).size).toBe(ids.length);
  });

  it('without a rep it says what to do', async () => {
    shown = await mount(<TrendsView log={{ ...seasonLog(), reps: [] }} athleteId="mika" profile={DEFAULT_PROFILE} />);
    expect(shown.page.textContent).toContain('five sessions or more');
    expect(await shown.violations()).toEqual([]);
  });
});

describe('the ladder', () => {
  const ticks: [StartId, boolean][] = [];
  const orders: (readonly StartId[])[] = [];
  const ladder = (log = seasonLog()) => (
    <LadderView
      log={log} athleteId="mika" profile={DEFAULT_PROFILE} ladder={DEFAULT_LADDER} surfaces={['sprung-floor']}
      onTick={(start, isTicked) => { ticks.push([start, isTicked]); }} onLadder={(next) => { orders.push(next.order); }}
    />
  );
  const surface = (name: string) => [...shown.page.querySelectorAll('button[aria-pressed]')].find((button) => button.textContent === name)!;
  const rungs = () => [...shown.part('Starts, easiest first').children];

  it('shows the six starts in order, what no measure can say, and clears nobody', async () => {
    shown = await mount(ladder());
    expect(rungs().map((rung) => rung.querySelector('h2')?.textContent)).toEqual(START_IDS.map((start) => START_NAMES[start]));
    for (const line of LADDER_CANNOT_SAY) expect(shown.part('What no measure can say').textContent).toContain(line);
    const text = shown.page.textContent.replaceAll('It never says that an athlete is ready', '');
    expect(text).not.toMatch(/\bcleared\b|\bis ready\b|\bmay move on\b/i);
    expect(text).toContain('a qualified coach decides');
    expect(await shown.violations()).toEqual([]);
  });

  it('says “no rep yet” for a start that was never filmed, and the counts for one that was', async () => {
    shown = await mount(ladder());
    expect(rungs()[2]?.textContent).toContain('No rep yet, so the measures say nothing.');
    expect(rungs()[0]?.textContent).toMatch(/48 reps in 8 sessions, last on 26 Oct 2026/);
  });

  it('on an air floor the run-up is very advanced only and the power hurdle the usual minimum', async () => {
    shown = await mount(ladder());
    expect(rungs()[0]?.textContent).not.toContain('Very advanced only');
    await shown.click(surface('Air floor'));
    expect(rungs()[0]?.textContent).toContain('Very advanced only');
    expect(rungs()[1]?.textContent).toContain('Usual minimum');
  });

  it('half-kneeling is never in sets, on every surface', async () => {
    shown = await mount(ladder());
    await shown.click(surface('Sprung floor'));
    expect(rungs()[5]?.textContent).toContain('Never in sets');
  });

  it('the coach ticks off and takes back; the tick shows its day', async () => {
    shown = await mount(ladder());
    expect(rungs()[1]?.textContent).toContain('Ticked off by the coach, 21 Sep 2026');
    await shown.click(shown.control('Power hurdle: ticked off by the coach'));
    await shown.click(shown.control('Two-step run: ticked off by the coach'));
    expect(ticks).toEqual([['power-hurdle', false], ['two-step-run', true]]);
  });

  function Edited({ seen }: { readonly seen: (next: Ladder) => void }) {
    const [own, setOwn] = useState<Ladder>(DEFAULT_LADDER);
    return (
      <LadderView
        log={seasonLog()} athleteId="mika" profile={DEFAULT_PROFILE} ladder={own} surfaces={['sprung-floor']} onTick={() => undefined}
        onLadder={(next) => { seen(next); setOwn(next); }}
      />
    );
  }

  it('rules are edited on screen and always pass the gate of the store; a rule on the sprung floor shows beside its start; all of it is taken back, or the first rules come back', async () => {
    const edits: Ladder[] = [];
    shown = await mount(<Edited seen={(next) => { edits.push(next); }} />);
    await shown.type(shown.control('Something is said from'), '4');
    // More than the reps that are looked at could never be there: refused.
    await shown.type(shown.control('Something is said from'), '9');
    expect(edits.at(-1)).toMatchObject({ fewestReps: 4, lastReps: 5 });
    await shown.click(shown.control('Add a rule'));
    const added = () => [...shown.part('Rules of starts and floors').querySelectorAll('details')].at(-1)!;
    const tick = async (legend: string, word: string) => {
      const box = [...added().querySelectorAll('fieldset')].find((each) => each.textContent.startsWith(legend))!;
      await shown.click([...box.querySelectorAll('label')].find((label) => label.textContent === word)!.querySelector('input')!);
    };
    await tick('Starts', 'Two-step run');
    await tick('Floors of which one is enough', 'Sprung floor');
    expect(added().querySelector('summary')?.textContent).toBe('Coach at the side: two-step run, on sprung floor');
    expect(rungs()[0]?.textContent).toContain('Coach at the side. Ask your coach first.');
    await shown.click(added().querySelector('button')!);
    expect(edits.at(-1)?.rules).toEqual(DEFAULT_LADDER.rules);
    await shown.click(shown.control('Take back the last change'));
    expect(rungs()[0]?.textContent).toContain('Coach at the side');
    expect(edits.map((each) => ladderSchema.safeParse(each).success)).toEqual(edits.map(() => true));
    await shown.click(shown.control('Back to the first rules'));
    expect(edits.at(-1)).toEqual(DEFAULT_LADDER);
    expect(await shown.violations()).toEqual([]);
  });

  it('deleting “never in sets” takes the advice against two tries in a row away with it', () => {
    const reps = (['half-kneeling', 'half-kneeling'] as const).map((start) => ({ start, values: {}, hasPain: false }));
    expect(inARow(reps, DEFAULT_LADDER)).not.toBeNull();
    expect(inARow(reps, { ...DEFAULT_LADDER, rules: DEFAULT_LADDER.rules.filter((rule) => rule.kind !== 'never-in-sets') })).toBeNull();
  });

  it('too few reps ask for more, a habit is named, and only then is there something to work on', () => {
    const one = (reps: number) => ladderOf({ ...seasonLog(), reps: seasonLog().reps.filter((rep) => rep.start === 'two-step-run').slice(0, reps) }, 'mika', DEFAULT_PROFILE, DEFAULT_LADDER, []);
    expect(ladderSentence(one(0), DEFAULT_LADDER)).toBe('Film 3 reps of a start, and the measures say how its shapes hold.');
    expect(ladderSentence(one(2), DEFAULT_LADDER)).toBe('Two-step run: film 1 more rep, then something can be said.');
    const [rung] = one(3);
    const habit = { ...rung!, shapes: 'not-yet' as const, off: [{ measure: 'plant.lungeRatio' as const, out: 2, clear: 4 }] };
    expect(ladderSentence([habit], DEFAULT_LADDER)).toBe('To work on: two-step run.');
    expect(offWords(habit)).toBe('Off target: lunge length in 2 of 4.');
  });

  it('a start moves one place, and the ends cannot move further', async () => {
    shown = await mount(ladder());
    await shown.click(shown.control('Power hurdle one place easier'));
    expect(orders.at(-1)?.slice(0, 2)).toEqual(['power-hurdle', 'two-step-run']);
    expect(shown.control('Two-step run one place easier').hasAttribute('disabled')).toBe(true);
    expect(shown.control('Half-kneeling start one place harder').hasAttribute('disabled')).toBe(true);
  });
});
