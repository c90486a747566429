// @vitest-environment jsdom
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { MEASURE_NAMES, problemWords } from '../../src/cues/index.ts';
import { createSession, type Session } from '../../src/state/session.ts';
import { failure, success, type Problem } from '../../src/units/outcome.ts';
import { KEYS } from '../../src/views/use-keys.ts';
import { fakeEngine } from '../support/fake-engine.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { show, type Shown } from '../support/show.tsx';
import { truthAnalysis, truthReading } from '../support/truth-reading.ts';

const truth = readTruthFile('sprint-lunge-good');
const analysis = truthAnalysis(truth, 'mika.mp4');

let engine: ReturnType<typeof fakeEngine>;
let session: Session;
let shown: Shown;

beforeEach(async () => {
  URL.createObjectURL = () => 'blob:test';
  URL.revokeObjectURL = () => undefined;
  engine = fakeEngine((one, overrides) => truthReading(one, truth, overrides));
  session = createSession(engine);
  shown = await show(session);
});
afterEach(async () => {
  await shown.unmount();
});

const open = async () => {
  await shown.after(() => { session.open([new File(['x'], 'mika.mp4')]); });
};
const measured = async (one = analysis) => {
  await open();
  await shown.after(() => { engine.jobs.at(-1)?.finish(success(one)); });
};
const overrides = () => session.store.getState().clips[0]?.history.present;
const rowOf = (name: string) => {
  const row = [...shown.page.querySelectorAll('tr')].find((each) => each.querySelector('th')?.textContent === name);
  if (row === undefined) throw new Error(`no row for ${name}`);
  return row;
};

describe('the first screen', () => {
  it('offers a clip, an example, the privacy line, the cautions and how to film', async () => {
    expect(shown.control('Open a clip').getAttribute('type')).toBe('file');
    expect(shown.control('See an example')).toBeTruthy();
    expect(shown.page.textContent).toContain('stays on this device');
    expect(shown.page.textContent).toContain('a qualified coach decides');
    // CHECKVALUES FL-1, FL-2, FL-7: 60 frames a second, 1/500 s, 8 m.
    for (const figure of ['8 m', '60 frames', '1/500 s', 'hip height', '10°']) expect(shown.page.textContent).toContain(figure);
    expect(await shown.violations()).toEqual([]);
  });
});

describe('while it works', () => {
  it('shows the clip, the stage and the seconds left, and Esc cancels', async () => {
    await open();
    await shown.after(() => { engine.jobs[0]?.report({ stage: 'measuring', fraction: 0.42, secondsLeft: 6.2 }); });
    expect(shown.page.querySelector('video')?.getAttribute('src')).toBe('blob:test');
    expect(shown.page.textContent).toContain('Measuring');
    expect(shown.page.textContent).toContain('about 7 s left');
    expect(shown.page.querySelector('[role=progressbar]')?.getAttribute('aria-valuenow')).toBe('42');
    expect(await shown.violations()).toEqual([]);
    await shown.press('Escape');
    expect(engine.jobs[0]?.signal.aborted).toBe(true);
    expect(shown.page.querySelector('[role=alert]')?.textContent).toContain(problemWords({ kind: 'cancelled' }).title);
  });
});

describe('a clip that cannot be measured', () => {
  const problems: readonly Problem[] = [
    { kind: 'unreadable-file', fileName: 'a.mp4' }, { kind: 'empty-file', fileName: 'a.mp4' },
    { kind: 'file-too-big', sizeBytes: 5e9, limitBytes: 4e9 }, { kind: 'no-video-track', fileName: 'a.mp4' }, { kind: 'picture-unreadable', fileName: 'a.heic' },
    { kind: 'codec-not-decodable', fileName: 'a.mov', codec: 'hevc' }, { kind: 'clip-too-long', durationS: 900, limitS: 600 },
    { kind: 'decoder-failed', fileName: 'a.mp4', atS: 1.2 }, { kind: 'nobody-found' }, { kind: 'no-start-found' },
    { kind: 'backend-unavailable', tried: ['webgl', 'wasm'] }, { kind: 'analysis-stalled', stage: 'measuring' }, { kind: 'cancelled' },
  ];
  it.each(problems)('$kind: title, text, a way out, and the clip can be put away', async (problem) => {
    await open();
    await shown.after(() => { engine.jobs[0]?.finish(failure(problem)); });
    const words = problemWords(problem);
    for (const part of [words.title, words.text, words.action]) expect(shown.page.textContent).toContain(part);
    expect(await shown.violations()).toEqual([]);
    await shown.click(shown.control('Put this clip away'));
    expect(session.store.getState().clips).toEqual([]);
  });
});

describe('the result', () => {
  it('says the cue first, then every measure with its interval, band and verdict', async () => {
    await measured();
    const tape = shown.page.querySelector('section[aria-label="What to change"]');
    expect(tape?.textContent).toContain('Words for launch.trunkLean below.');
    // Truth of the clip: passé knee 58.16°, in the band of 45 to 65°; stated ± 4°.
    expect(rowOf(MEASURE_NAMES['passe.knee']).textContent).toContain('58°± 4°aim 45–65°On target');
    expect(rowOf(MEASURE_NAMES['launch.trunkLean']).textContent).toContain('Off target, below');
    expect(await shown.violations()).toEqual([]);
  });

  it('says "not measured" with the reason beside it, and once below what helps', async () => {
    await measured();
    expect(rowOf(MEASURE_NAMES['launch.hipSpeed']).textContent).toContain('Not measured');
    expect(rowOf(MEASURE_NAMES['launch.hipSpeed']).textContent).toContain('clip speed unknown');
    expect(shown.page.querySelector('section[aria-label="Not measured, and why"]')?.textContent).toContain('frames per second it was filmed');
  });

  it('says what measured it', async () => {
    await measured();
    expect(shown.page.textContent).toContain('Measured with truth of the renderer on none, 105 frames');
  });

  it('a measure jumps to its moment and is pointed out', async () => {
    await measured();
    await shown.click(shown.control(MEASURE_NAMES['plant.lungeRatio']));
    expect(session.store.getState()).toMatchObject({ moment: 'plant', measure: 'plant.lungeRatio' });
    expect(rowOf(MEASURE_NAMES['plant.lungeRatio']).querySelector('button')?.getAttribute('aria-pressed')).toBe('true');
  });

  it('keys 1 to 6 show the moments in the order of their times', async () => {
    await measured();
    const seen: string[] = [];
    for (const key of '123456') {
      await shown.press(key);
      seen.push(session.store.getState().moment);
    }
    // Truth: launch 1.0022 s, passé 1.0043 s.
    expect(seen).toEqual(['set', 'firstMove', 'launch', 'passe', 'plant', 'hands']);
  });

  it('one tap turns the lead leg over, marks it as chosen, and Ctrl+Z takes it back', async () => {
    await measured();
    await shown.click(shown.control(/leg leads/));
    expect(overrides()).toEqual({ lead: 'right' });
    expect(shown.page.textContent).toContain('you chose');
    await shown.press('z', { ctrlKey: true });
    expect(overrides()).toEqual({});
    await shown.press('Z', { ctrlKey: true, shiftKey: true });
    expect(overrides()).toEqual({ lead: 'right' });
    await shown.click(shown.control('Back to what the clip shows'));
    expect(overrides()).toEqual({});
  });

  it('start and direction are chosen the same way', async () => {
    await measured();
    await shown.choose(shown.control(/^Start/), 'half-kneeling');
    await shown.click(shown.control(/^travels/));
    expect(overrides()).toEqual({ start: 'half-kneeling', direction: 'right-to-left' });
    expect(engine.jobs).toHaveLength(1);
  });

  it('a moment moves by exactly one frame, is marked as placed by hand, and goes back', async () => {
    await measured();
    await shown.click(shown.control(MEASURE_NAMES['plant.lungeRatio']));
    await shown.click(shown.control('Lunge one frame later'));
    // Truth: plant at 1.1562 s, nearest frame 69 of 60 a second, so the next one is 70/60 s.
    expect(overrides()?.moments?.plant).toBeCloseTo(70 / 60, 3);
    expect(shown.page.textContent).toContain('placed by hand');
    await shown.click(shown.control('Lunge back to where it was found'));
    expect(overrides()?.moments).toEqual({});
  });

  it('a moment that was not found is placed on the frame shown', async () => {
    engine.read = (one, stated) => {
      const reading = truthReading(one, truth, stated);
      const placed = stated.moments?.set;
      const set = placed === undefined ? ({ found: false, why: 'moment-not-found' } as const) : ({ found: true, t: placed, sd: 0.005, source: 'user' } as const);
      return { ...reading, moments: { ...reading.moments, set } };
    };
    await measured();
    expect(shown.page.querySelector('ol[aria-label="Key moments"]')?.textContent).toContain('not found');
    await shown.after(() => { session.playhead.shown(0.4334); });
    await shown.click(shown.control('Set'));
    await shown.click(shown.control('Set is the frame shown'));
    // Frame 26 of 60 a second.
    expect(overrides()?.moments?.set).toBeCloseTo(26 / 60, 3);
    expect(shown.page.querySelector('ol[aria-label="Key moments"]')?.textContent).not.toContain('not found');
  });

  it('a joint is moved by arrow keys, marked as placed by hand, and goes back', async () => {
    await measured();
    await shown.after(() => { session.showMoment('launch'); });
    await shown.click(shown.control('Correct'));
    const knee = shown.control('Move the left knee');
    knee.focus();
    await shown.press('ArrowRight', { shiftKey: true });
    // Truth of frame 60: left knee at (599.46, 361.09); Shift moves 5 px.
    const [joint] = overrides()?.joints ?? [];
    expect(joint).toMatchObject({ landmark: 'leftKnee', t: 1 });
    expect(joint?.x).toBeCloseTo(604.46, 3);
    expect(joint?.y).toBeCloseTo(361.09, 3);
    expect(shown.control('Move the left knee, placed by hand')).toBeTruthy();
    await shown.press('ArrowDown');
    expect(overrides()?.joints).toHaveLength(1);
    expect(await shown.violations()).toEqual([]);
    await shown.click(shown.control(/joints back to where they were found/));
    expect(overrides()).toEqual({});
  });

  it('legs are swapped in the whole clip, then between the frame shown and a moment; each is said, taken back, undone and redone', async () => {
    await measured();
    await shown.after(() => { session.showMoment('launch'); });
    await shown.click(shown.control('Correct'));
    const bar = () => shown.page.querySelector('section[aria-label="Left and right"]')?.textContent ?? '';
    // Truth: the left leg leads.
    expect(bar()).toContain('White is the left leg, blue the right');
    await shown.click(shown.control('Swap legs'));
    expect(overrides()?.swaps).toMatchObject([{ part: 'legs', fromS: null, toS: null }]);
    expect(bar()).toContain('by hand Legs swapped in the whole clip.');
    expect(await shown.violations()).toEqual([]);
    await shown.press('z', { ctrlKey: true });
    expect(overrides()).toEqual({});
    await shown.press('z', { ctrlKey: true, shiftKey: true });
    expect(overrides()?.swaps).toHaveLength(1);
    await shown.click(shown.control('Take back'));
    expect(overrides()).toEqual({});
    await shown.after(() => { session.playhead.shown(0.4334); });
    await shown.choose(shown.control('Swap from'), 'shown');
    // Frame 69 of 60 a second is the lunge.
    await shown.choose(shown.control('Swap to'), '69');
    await shown.click(shown.control('Swap arms'));
    const [swap] = overrides()?.swaps ?? [];
    expect(swap?.part).toBe('arms');
    expect(swap?.fromS).toBeCloseTo(26 / 60, 3);
    expect(swap?.toS).toBeCloseTo(69 / 60, 3);
    expect(bar()).toContain('Arms swapped from 0.43 s to 1.15 s');
  });

  it('two marks on the floor, placed with keys, become the scale; undo takes them back', async () => {
    await measured();
    await shown.click(shown.control('Two marks'));
    const bar = () => shown.page.querySelector('form[aria-label="Scale from the floor"]')?.textContent ?? '';
    expect(bar()).toContain('Tap the first mark');
    await shown.click(shown.control(/^Put it in the middle/));
    expect(bar()).toContain('Tap the second mark');
    await shown.click(shown.control(/^Put it in the middle/));
    shown.control(/^Move the second mark/).focus();
    for (let press = 0; press < 10; press += 1) await shown.press('ArrowRight', { shiftKey: true });
    await shown.type(shown.control('Metres between the marks'), '0');
    await shown.click(shown.control('Use it'));
    expect(bar()).toContain('more than 0 and at most 60');
    await shown.type(shown.control('Metres between the marks'), '2,5');
    expect(await shown.violations()).toEqual([]);
    await shown.click(shown.control('Use it'));
    // The middle of a 1280 px wide picture, four fifths down; ten steps of 5 px between the marks.
    expect(overrides()?.floor).toEqual({ kind: 'marks', a: { x: 640, y: 576 }, b: { x: 690, y: 576 }, apartM: 2.5 });
    expect(bar()).toBe('');
    await shown.press('z', { ctrlKey: true });
    expect(overrides()).toEqual({});
  });

  it('a mat with its corners in the wrong order is refused in words', async () => {
    await measured();
    await shown.click(shown.control('A mat'));
    for (let corner = 0; corner < 4; corner += 1) await shown.click(shown.control(/^Put it in the middle/));
    await shown.type(shown.control('Side along the run, metres'), '2');
    await shown.type(shown.control('The other side, metres'), '1');
    await shown.click(shown.control('Use it'));
    expect(shown.page.querySelector('[role=alert]')?.textContent).toContain('tap them again');
    expect(overrides()).toEqual({});
  });

  it('takes a height of 158 cm, refuses 15 cm in words', async () => {
    await measured();
    await shown.type(shown.control('Height of the athlete, cm'), '15');
    expect(overrides()).toEqual({});
    expect(shown.page.textContent).toContain('Between 80 and 220 cm');
    await shown.type(shown.control('Height of the athlete, cm'), '158');
    expect(overrides()).toEqual({ heightM: 1.58 });
    expect(rowOf(MEASURE_NAMES['mark.toHands']).textContent).toContain('1.95');
  });

  it('filmed at 240 in a clip of 60 frames a second is slowed 4 times; times are shown from then on', async () => {
    await measured();
    await shown.choose(shown.control('How it was filmed'), '240');
    expect(overrides()?.timeBase).toEqual({ kind: 'slowed', factor: 4 });
    expect(rowOf(MEASURE_NAMES['time.toHands']).textContent).not.toContain('Not measured');
    await shown.choose(shown.control('How it was filmed'), 'unsaid');
    expect(overrides()).toEqual({});
  });

  it('asks who the athlete is only when several people are in view', async () => {
    await measured();
    expect(shown.page.textContent).not.toContain('people are in view');
    const box = { x: 200, y: 200, width: 100, height: 300 };
    await measured({ ...analysis, people: [{ t: 0.5, box, isAthlete: true }, { t: 0.5, box: { ...box, x: 900 }, isAthlete: false }] });
    await shown.after(() => { session.select('clip-2'); });
    await shown.click(shown.control(/2 people are in view/));
    await shown.click(shown.control('Measure person 2 instead'));
    expect(engine.jobs.at(-1)?.request.athleteAt).toEqual({ t: 0.5, x: 950, y: 350 });
  });

  it('another part of the clip is measured on request', async () => {
    await measured();
    await shown.click(shown.control('Measure this part'));
    expect(engine.jobs.at(-1)?.request.trim).toEqual({ fromS: 0, toS: 1.75 });
  });

  it('P shows picture, cue and one figure; Esc leaves', async () => {
    await measured();
    await shown.press('p');
    expect(session.store.getState().isProjecting).toBe(true);
    expect(shown.page.querySelector('table')).toBeNull();
    expect(shown.page.textContent).toContain('Words for launch.trunkLean below.');
    expect(shown.page.textContent).toContain('12°');
    expect(await shown.violations()).toEqual([]);
    await shown.press('Escape');
    expect(shown.page.querySelector('table')).not.toBeNull();
  });

  it('the page lists the keys', async () => {
    await measured();
    for (const { keys, does } of KEYS) expect(shown.page.textContent).toContain(keys + does);
  });
});
