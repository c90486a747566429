// @vitest-environment jsdom
import { afterEach, describe, expect, it } from 'vitest';
import type { AthleteLog, Rep } from '../../src/athletelog/index.ts';
import { DEFAULT_STOP_RULES } from '../../src/compare/index.ts';
import type { Measure, MeasureId, MeasureUnit } from '../../src/shapes/measure.ts';
import { amount, changeText, rangeText } from '../../src/views/analysis/amounts.ts';
import { proposedBlocks, repsAndGaps, toggleRep } from '../../src/views/compare/choose-blocks.ts';
import { compareBlocks, contradicting, headline } from '../../src/views/compare/compare-blocks.ts';
import { IsItFaster } from '../../src/views/compare/is-it-faster.tsx';
import { mount, type Mounted } from '../support/mount.tsx';
import { seasonLog } from '../support/season-log.ts';

const measure = (value: number, unit: MeasureUnit, half = 0.02): Measure => ({ measured: true, value, unit, ci95: [value - half, value + half], t: null, frame: null, source: 'detected' });
const rep = (number: number, measures: Partial<Record<MeasureId, Measure>>, extra: Partial<Rep> = {}): Rep => ({
  id: `r${number}`, athleteId: 'a', sessionId: 's', number, start: 'two-step-run', surfaces: [], lead: 'left', hasPain: false, note: '', clip: null, moments: null,
  measures, stated: {}, judgedBy: null, legs: null, isStarred: false, pass: '', fitted: null, markAtM: null, ...extra,
});
const logOf = (reps: readonly Rep[]): AthleteLog => ({
  athletes: [{ id: 'a', name: 'Invented', birthYear: null, lead: 'left', usualStart: 'two-step-run', growth: [], note: '', groups: [], ticks: [], isInvented: true }],
  sessions: [...new Set(reps.map((each) => each.sessionId))].map((id, i) => ({ id, date: `2026-10-0${i + 1}`, place: '', note: '', surfaces: [], present: [], isInvented: true })),
  reps,
});
const speed = (value: number): Partial<Record<MeasureId, Measure>> => ({ 'launch.hipSpeed': measure(value, 'leg/s') });

describe('what is compared', () => {
  it('in a session with a drill: the reps before it against those after it', () => {
    const log = seasonLog();
    expect(proposedBlocks(log, 'mika', 'two-step-run')).toEqual({ before: ['mika-8-1', 'mika-8-2', 'mika-8-3'], after: ['mika-8-7', 'mika-8-8', 'mika-8-9'] });
    expect(repsAndGaps(log, 'mika', 's8', 'two-step-run').map((each) => (each.kind === 'gap' ? `${each.count} ${each.start}` : each.rep.number))).toEqual([1, 2, 3, '3 hop-from-passe', 7, 8, 9]);
  });

  it('without a drill: the last rep against the one before; with one rep: against the session before', () => {
    const log = logOf([rep(1, speed(4)), rep(2, speed(4)), rep(3, speed(4))]);
    expect(proposedBlocks(log, 'a', 'two-step-run')).toEqual({ before: ['r2'], after: ['r3'] });
    const days = logOf([rep(1, speed(4)), rep(2, speed(4)), rep(3, speed(4), { sessionId: 't' })]);
    expect(proposedBlocks(days, 'a', 'two-step-run')).toEqual({ before: ['r1', 'r2'], after: ['r3'] });
  });

  it('a rep is never on both sides', () => {
    const blocks = { before: ['r1', 'r2'], after: ['r3'] };
    expect(toggleRep(blocks, 'after', 'r1')).toEqual({ before: ['r2'], after: ['r3', 'r1'] });
    expect(toggleRep(blocks, 'before', 'r2')).toEqual({ before: ['r1'], after: ['r3'] });
  });

  it('with measurement error alone the smallest change of one rep is 1.96 · √2 · sd', () => {
    const [one, two] = [rep(1, speed(4)), rep(2, speed(4.5))];
    const [found] = compareBlocks(logOf([one, two]), 'a', 'two-step-run', [one], [two]);
    // The interval ± 0.02 is 1.96 sd: the smallest change is √2 · 0.02.
    expect(found?.smallestOfOne).toBeCloseTo(Math.SQRT2 * 0.02, 9);
    expect(found?.smallestFrom).toBe('measurement');
    expect(found?.difference).toMatchObject({ about: 'these-reps', verdict: 'faster' });
  });

  it('a rep in metres is left out of a comparison in leg lengths, and counted', () => {
    const reps = [rep(1, speed(4)), rep(2, speed(4.1)), rep(3, { 'launch.hipSpeed': measure(3, 'm/s') }), rep(4, speed(4.2))];
    const [found] = compareBlocks(logOf(reps), 'a', 'two-step-run', reps.slice(0, 3), reps.slice(3));
    expect(found).toMatchObject({ unit: 'leg/s', leftOut: 1 });
    expect(found?.before).toHaveLength(2);
  });

  it('the first of the coach’s speed measures that both sides have decides; another that says the opposite is named', () => {
    const both = (v: number, t: number) => ({ ...speed(v), 'time.toHands': measure(t, 's') });
    const reps = [rep(1, both(4, 1.8)), rep(2, both(4.6, 2.2))];
    const compared = compareBlocks(logOf(reps), 'a', 'two-step-run', reps.slice(0, 1), reps.slice(1));
    const head = headline(compared, DEFAULT_STOP_RULES.speedMeasures);
    expect(head?.id).toBe('launch.hipSpeed');
    expect(contradicting(compared, head!).map((each) => each.id)).toEqual(['time.toHands']);
    expect(headline(compared, ['plant.lungeRatio'])).toBeNull();
  });
});

describe('words of a change', () => {
  it('say the size and the way, with the interval from small to large', () => {
    expect(changeText(-0.064, 's')).toBe('0.06 s less');
    expect(changeText(0.11, 'leg')).toBe('0.11 leg lengths longer');
    expect(changeText(0.001, 's')).toBe('no change');
    expect(rangeText([-0.1, -0.02], 's')).toBe('0.02 to 0.10 s less');
    expect(rangeText([-3, 5], 'deg')).toBe('3° less to 5° more');
    expect(amount(1, 'leg')).toBe('1.00 leg length');
  });
});

describe('Is it faster?', () => {
  let shown: Mounted;
  afterEach(async () => { await shown.unmount(); });
  const opened: string[][] = [];
  const view = (log: AthleteLog, hasTrack = false) => (
    <IsItFaster log={log} athleteId={log.athletes[0]!.id} speedMeasures={DEFAULT_STOP_RULES.speedMeasures} hasTrack={() => hasTrack} onSideBySide={(a, b) => { opened.push([a, b]); }} />
  );

  it('says “Faster.” when the drill gave 0.6 leg lengths/s with a spread of 0.08', async () => {
    shown = await mount(view(seasonLog({ speedAfterDrill: 0.6 })));
    expect(shown.part('Is it faster?').querySelector('p')?.textContent).toBe('Faster.');
    expect(shown.part('Hip speed at launch').textContent).toContain('Smallest change that shows');
    expect(await shown.violations()).toEqual([]);
  });

  it('says “Slower.” for −0.6, and “no difference that these clips can show” with the reps that would settle it for pure scatter', async () => {
    shown = await mount(view(seasonLog({ speedAfterDrill: -0.6 })));
    expect(shown.part('Is it faster?').querySelector('p')?.textContent).toBe('Slower.');
    await shown.show(<div key="other">{view(seasonLog())}</div>);
    const tape = shown.part('Is it faster?').textContent;
    expect(tape).toContain('No difference that these clips can show.');
    expect(tape).toMatch(/more reps? on each side would settle|More than 20 further reps/);
  });

  it('of two reps without history it speaks of these reps only', async () => {
    shown = await mount(view(logOf([rep(1, speed(4)), rep(2, speed(4.5))])));
    const tape = shown.part('Is it faster?').textContent;
    expect(tape).toContain('This rep was faster.');
    expect(tape).toContain('only the error of the measurement is counted');
  });

  it('a tap takes a rep from one side to the other', async () => {
    shown = await mount(view(seasonLog()));
    await shown.click(shown.control('Rep 3, after'));
    expect(shown.control('Rep 3, before').getAttribute('aria-pressed')).toBe('false');
    expect(shown.control('Rep 3, after').getAttribute('aria-pressed')).toBe('true');
    const drawn = shown.part('Hip speed at launch').querySelector('svg[aria-label^="Before"]')?.getAttribute('aria-label') ?? '';
    expect(drawn.split('. After: ').map((side) => side.split(', ').length)).toEqual([2, 4]);
  });

  it('judged by the time to hands when the coach chooses so', async () => {
    shown = await mount(view(seasonLog({ speedAfterDrill: 0.6 })));
    await shown.choose(shown.control('Judged by'), 'time.toHands');
    expect(shown.part('Is it faster?').textContent).toContain('First move to hands');
    expect(shown.part('Is it faster?').querySelector('p')?.textContent).toBe('No difference that these clips can show.');
  });

  it('opens the last rep of each side that has a stored measurement side by side', async () => {
    shown = await mount(view(seasonLog(), true));
    await shown.click(shown.control('See rep 3 and rep 9 side by side'));
    expect(opened.at(-1)).toEqual(['mika-8-3', 'mika-8-9']);
  });

  it('with fewer than two reps it says what to do', async () => {
    shown = await mount(view(logOf([rep(1, speed(4))])));
    expect(shown.page.textContent).toContain('Save two reps of the same start');
    expect(await shown.violations()).toEqual([]);
  });
});
