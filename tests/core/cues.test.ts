import { describe, expect, test } from 'vitest';
import { check } from '../../src/checker/check.ts';
import type { Finding } from '../../src/checker/finding.ts';
import {
  bandText,
  builtInCue,
  CAUTION_SHORT,
  CAUTIONS,
  cuesFor,
  figureText,
  MEASURE_NAMES,
  MEASURE_SHORT_NAMES,
  MOMENT_WORDS,
  momentPhrase,
  noCueWords,
  numberText,
  problemWords,
  START_CAUTIONS,
  START_WORDS,
  valueText,
  valueWithErrorText,
  VERDICT_WORDS,
  WHY_WORDS,
} from '../../src/cues/index.ts';
import type { Measure, MeasureId } from '../../src/shapes/measure.ts';
import { MEASURE_IDS } from '../../src/shapes/measure.ts';
import { START_IDS } from '../../src/starts/start.ts';
import { DEFAULT_PROFILE, editTolerance, measuresOf, toleranceOf } from '../../src/tolerances/index.ts';
import type { Problem } from '../../src/units/outcome.ts';
import { WHY_NOT } from '../../src/units/why-not.ts';
import { countText, gradeOf, readingGrade, syllables } from './cues-reading-grade.ts';

const SIDES = ['below', 'above'] as const;

/** Every built-in cue: 6 starts × their measures × 2 sides. */
const ALL_CUES = START_IDS.flatMap((start) =>
  measuresOf(start).flatMap((measure) => SIDES.map((side) => ({ start, measure, side, text: builtInCue(start, measure, side) }))),
);

/** Words that judge a body or a person, or frighten. Chosen. */
const JUDGING = /\b(weight|weigh|heavy|heavier|fat|thin|thinner|slim|skinny|big|bigger|body type|figure|belly|stomach|bum|butt|lazy|bad|worse|worst|wrong|ugly|clumsy|sloppy|weak|fail|failed|stupid|silly|too (tall|short|small|old|young))\b/i;
const JARGON = /\b(flexion|extension|extend|interior|abduct|hip hinge|velocity|angular|sagittal|torso|trunk|ratio|degrees?|centre of mass|plyometric|posture|optimal|activate|engage|core)\b/i;
const NUMBER_WORD = /\d|\b(one|two|three|four|five|six|ten|half|twice|double)\b/i;

const PROBLEMS: readonly Problem[] = [
  { kind: 'unreadable-file', fileName: 'rep.mp4' },
  { kind: 'empty-file', fileName: 'rep.mp4' },
  { kind: 'file-too-big', sizeBytes: 5.24e9, limitBytes: 4e9 },
  { kind: 'picture-unreadable', fileName: 'view.heic' },
  { kind: 'no-video-track', fileName: 'rep.m4a' },
  { kind: 'codec-not-decodable', fileName: 'rep.mov', codec: 'hevc' },
  { kind: 'codec-not-decodable', fileName: 'rep.webm', codec: 'vp9' },
  { kind: 'clip-too-long', durationS: 725, limitS: 600 },
  { kind: 'decoder-failed', fileName: 'rep.mp4', atS: 2.345 },
  { kind: 'nobody-found' },
  { kind: 'no-start-found' },
  { kind: 'backend-unavailable', tried: ['webgl', 'wasm'] },
  { kind: 'analysis-stalled', stage: 'measuring' },
  { kind: 'storage-full' },
  { kind: 'clip-not-kept' },
  { kind: 'file-too-new', version: 7 },
  { kind: 'cancelled' },
];

describe('the words of a key moment', () => {
  test('say when it is and how sure that is', () => {
    expect(momentPhrase('launch', { found: true, t: 1.8149, sd: 0.005, source: 'detected' })).toBe(`1.81 ± 0.01 s. ${MOMENT_WORDS.launch.meaning}`);
    expect(momentPhrase('passe', { found: true, t: 1.95, sd: 0.02, source: 'detected' })).toBe(`1.95 ± 0.04 s. ${MOMENT_WORDS.passe.meaning}`);
  });

  test('say how to place a passé that may be another time that the knee came up, and a moment that was not found', () => {
    expect(momentPhrase('passe', { found: true, t: 1.952, sd: 0.176, source: 'detected' })).toMatch(/^1\.95 ± 0\.3[45] s\. .*another moment when the knee is nearly as high.*is the frame shown/u);
    expect(momentPhrase('firstMove', { found: true, t: 0.6, sd: 0.176, source: 'detected' })).not.toContain('another');
    expect(momentPhrase('hands', { found: false, why: 'moment-not-found' })).toContain('is the frame shown');
  });
});

describe('reading grade', () => {
  test('the formula gives 13.08 for 1 sentence, 13 words, 26 syllables and 11.3 for 24 syllables (published worked examples of the platypus sentence)', () => {
    // 13.08: readme of the npm package flesch-kincaid 2.0.1; 11.3: the encyclopaedia article on the test, same sentence, other syllable count.
    expect(gradeOf({ sentences: 1, words: 13, syllables: 26 })).toBeCloseTo(13.08, 2);
    expect(gradeOf({ sentences: 1, words: 13, syllables: 24 })).toBeCloseTo(11.3, 1);
  });

  test('the counter finds 1 sentence, 13 words and 24 or 26 syllables in that sentence', () => {
    const counts = countText('The Australian platypus is seemingly a hybrid of a mammal and reptilian creature.');
    expect(counts.sentences).toBe(1);
    expect(counts.words).toBe(13);
    expect(counts.syllables).toBeGreaterThanOrEqual(24);
    expect(counts.syllables).toBeLessThanOrEqual(26);
  });

  test.each([
    ['knee', 1], ['lunge', 1], ['forward', 2], ['target', 2], ['straight', 1], ['before', 2], ['higher', 2], ['level', 2], ['little', 2], ['locked', 1],
    ['lifted', 2], ['slide', 1], ['passé', 2], ['further', 2], ['hurdle', 2], ['smoothly', 2], ['longer', 2], ['pushing', 2], ['leaves', 1], ['reaches', 2],
    ['steps', 1], ['quicker', 2], ['travel', 2], ['second', 2], ['toe', 1], ['whole', 1], ['take', 1], ['more', 1], ['moves', 1], ['goes', 1], ['fewer', 2], ['open', 2],
  ])('%s has %i syllables (counted by hand)', (word, expected) => {
    expect(syllables(word)).toBe(expected);
  });
});

describe('cues', () => {
  test('there are cues for all of 6 starts × their measures × 2 sides, each a finished text', () => {
    expect(ALL_CUES).toHaveLength(2 * START_IDS.reduce((sum, start) => sum + measuresOf(start).length, 0));
    for (const cue of ALL_CUES) {
      expect(cue.text, `${cue.start} ${cue.measure} ${cue.side}`).toMatch(/^[A-Z].*[.]$/);
      expect(cue.text).not.toMatch(/[{}[\]<>$%]|undefined|null|NaN|TODO/);
    }
  });

  test.each(ALL_CUES)('$start $measure $side: reading grade at most 6, at most 25 words, no number, no jargon, no judgement', ({ text }) => {
    expect(readingGrade(text)).toBeLessThanOrEqual(6);
    expect(countText(text).words).toBeLessThanOrEqual(25);
    expect(text).not.toMatch(NUMBER_WORD);
    expect(text).not.toMatch(JARGON);
    expect(text).not.toMatch(JUDGING);
  });

  test('the word lists bite: a judging, a technical and a counting sentence are each caught', () => {
    expect('You are too heavy for this.').toMatch(JUDGING);
    expect('Increase hip flexion velocity.').toMatch(JARGON);
    expect('Bend it ten more.').toMatch(NUMBER_WORD);
    expect(readingGrade('Facilitate considerable anterior inclination immediately preceding propulsion initiation.')).toBeGreaterThan(6);
  });

  test('below and above never say the same, but for the foot of the first step', () => {
    for (const start of START_IDS) {
      for (const measure of measuresOf(start)) {
        const same = builtInCue(start, measure, 'below') === builtInCue(start, measure, 'above');
        expect(same, `${start} ${measure}`).toBe(measure === 'steps.firstLeg');
      }
    }
  });

  test('every scored measure pushed out on either side gives exactly its own cue, with its figure and unit behind the words', () => {
    let tried = 0;
    for (const start of START_IDS) {
      for (const measure of measuresOf(start)) {
        const tolerance = toleranceOf(DEFAULT_PROFILE, start, measure);
        if (tolerance === null || tolerance.band === null) continue;
        for (const side of SIDES) {
          const value = outside(measure, tolerance.band, tolerance.softMargin, side);
          if (value === null) continue;
          const findings = check(start, { [measure]: exactly(value, tolerance.unit) }, DEFAULT_PROFILE, side === 'below' ? 'right' : 'left');
          const cues = cuesFor(findings, start, DEFAULT_PROFILE);
          expect(cues.map((cue) => [cue.measure, cue.side, cue.text]), `${start} ${measure} ${side}`).toEqual([[measure, side, builtInCue(start, measure, side)]]);
          expect(cues[0]?.figure).toMatch(/^[A-ZP][^{}]*(°|leg lengths|steps?|foot), aim [^{}]*(°|leg lengths|steps?|foot)$/);
          tried += 1;
        }
      }
    }
    expect(tried).toBeGreaterThan(80);
  });

  test('off target comes before near, then the heavier first; in band, too close and not measured get no cue', () => {
    const findings: Finding[] = [
      finding('plant.trunkLean', 'near', 'below', 90),
      finding('passe.knee', 'out', 'above', 2),
      finding('plant.lungeRatio', 'out', 'below', 7),
      finding('launch.trunkLean', 'too-close', 'below', 0),
      finding('kick.split', 'in-band', null, 0),
      { ...finding('kick.rearKnee', 'not-measured', null, 0), value: null, ci95: null, why: 'too-blurred' },
    ];
    expect(cuesFor(findings, 'power-hurdle', DEFAULT_PROFILE).map((cue) => cue.measure)).toEqual(['plant.lungeRatio', 'passe.knee', 'plant.trunkLean']);
    expect(cuesFor([], 'power-hurdle', DEFAULT_PROFILE)).toEqual([]);
  });

  test('without a cue the words tell on target from too close, and from nothing scored; with one due there are none', () => {
    const onTarget = finding('passe.knee', 'in-band', null, 0);
    const close = finding('plant.trunkLean', 'too-close', 'below', 0);
    const none: Finding = { ...finding('kick.split', 'not-measured', null, 0), value: null, ci95: null, why: 'not-in-view' };
    expect(noCueWords([onTarget])).toMatch(/^All shapes are on target/);
    expect(noCueWords([onTarget, none])).toMatch(/could be measured is on target/);
    expect(noCueWords([onTarget, close, none])).toMatch(/too close to call/);
    expect(noCueWords([none])).toMatch(/^Nothing could be scored/);
    expect(noCueWords([])).toMatch(/^Nothing could be scored/);
    expect(noCueWords([onTarget, finding('plant.trunkLean', 'near', 'below', 1)])).toBeNull();
  });

  test('the coach’s own words replace the built-in cue on their side only', () => {
    const profile = editTolerance(DEFAULT_PROFILE, 'hop-from-passe', 'passe.knee', { cueAbove: 'Heel to bum!' });
    const above = cuesFor([finding('passe.knee', 'out', 'above', 1)], 'hop-from-passe', profile);
    const below = cuesFor([finding('passe.knee', 'out', 'below', 1)], 'hop-from-passe', profile);
    expect(above[0]?.text).toBe('Heel to bum!');
    expect(below[0]?.text).toBe(builtInCue('hop-from-passe', 'passe.knee', 'below'));
  });
});

describe('figures', () => {
  test('a figure reads "Passé knee 92° ± 4°, aim 45–65°"', () => {
    const passe: Finding = { measure: 'passe.knee', verdict: 'out', side: 'above', value: 92.3, ci95: [88.4, 96.2], band: [45, 65], why: null, weight: 1 };
    expect(figureText(passe, 'deg')).toBe('Passé knee 92° ± 4°, aim 45–65°');
  });

  test('lengths carry two decimals and their unit, negative bands a true minus sign, sides the foot', () => {
    expect(valueWithErrorText(0.794, [0.744, 0.844], 'leg')).toBe('0.79 ± 0.05 leg lengths');
    expect(bandText([1.05, 1.35], 'leg')).toBe('1.05–1.35 leg lengths');
    expect(bandText([-10, 20], 'deg')).toBe('−10° to 20°');
    expect(bandText([2, 2], 'count')).toBe('2 steps');
    expect(valueText(1, 'count')).toBe('1 step');
    expect(valueText(-1, 'side')).toBe('left foot');
    expect(valueWithErrorText(1, [1, 1], 'side')).toBe('right foot');
    expect(numberText(-0.2, 'deg')).toBe('0');
    expect(valueText(-24.4, 'deg')).toBe('−24°');
    expect(valueText(412.4, 'deg/s')).toBe('412°/s');
  });

  test('the error is rounded up, the wider half of a lopsided interval counts, an unknown one says so', () => {
    expect(valueWithErrorText(92, [90, 95.1], 'deg')).toBe('92° ± 4°');
    expect(valueWithErrorText(1, [0.93, 1.07], 'leg')).toBe('1.00 ± 0.07 leg lengths');
    expect(valueWithErrorText(92, [-Infinity, Infinity], 'deg')).toBe('92°, error unknown');
  });

  test('a finding without a value has no figure', () => {
    const none: Finding = { measure: 'passe.knee', verdict: 'not-measured', side: null, value: null, ci95: null, band: [45, 65], why: 'not-in-view', weight: 0 };
    expect(() => figureText(none, 'deg')).toThrow(RangeError);
  });
});

describe('plain words', () => {
  test('every measure, moment, verdict, start and reason has its words; names are distinct within their list', () => {
    for (const list of [MEASURE_NAMES, MEASURE_SHORT_NAMES]) {
      const names = MEASURE_IDS.map((id) => list[id]);
      expect(names.every((name) => name.length > 2)).toBe(true);
    }
    expect(new Set(Object.values(MEASURE_NAMES)).size).toBe(MEASURE_IDS.length);
    expect(Math.max(...Object.values(MEASURE_SHORT_NAMES).map((name) => name.length))).toBeLessThanOrEqual(20);
    for (const words of Object.values(MOMENT_WORDS)) expect(words.meaning).toMatch(/\.$/);
    expect(Object.keys(VERDICT_WORDS)).toHaveLength(5);
    for (const start of START_IDS) expect(`${START_WORDS[start].looks} ${START_WORDS[start].use}`).not.toMatch(JUDGING);
    for (const why of WHY_NOT) {
      expect(WHY_WORDS[why].reason).toMatch(/\.$/);
      expect(WHY_WORDS[why].nextTime).toMatch(/\.$/);
    }
  });

  test('every verdict word is free of blame', () => {
    for (const word of Object.values(VERDICT_WORDS)) expect(word).not.toMatch(/fail|wrong|bad|error/i);
  });

  test.each(PROBLEMS)('problem $kind: a title, what happened and a way out, with every fact filled in', (problem) => {
    const words = problemWords(problem);
    expect(words.title.length).toBeGreaterThan(5);
    expect(words.text).toMatch(/[.]$/);
    expect(words.action).toMatch(/[.]$/);
    expect(`${words.title} ${words.text} ${words.action}`).not.toMatch(/undefined|NaN|\{|\}|oops|sorry/i);
  });

  test('HEVC names the phone setting and conversion; other codecs name conversion only', () => {
    expect(problemWords({ kind: 'codec-not-decodable', fileName: 'a.mov', codec: 'hevc' }).action).toMatch(/Most Compatible.*convert/);
    expect(problemWords({ kind: 'codec-not-decodable', fileName: 'a.mkv', codec: 'av1' }).action).not.toMatch(/Most Compatible/);
  });

  test('durations read in minutes and sizes in gigabytes', () => {
    expect(problemWords({ kind: 'clip-too-long', durationS: 725, limitS: 600 }).text).toBe('It lasts 12 min 5 s; Lungeline reads up to 10 min.');
    expect(problemWords({ kind: 'file-too-big', sizeBytes: 5.24e9, limitBytes: 4e9 }).text).toBe('It has 5.2 GB; Lungeline reads up to 4.0 GB.');
  });

  test('the cautions name coach, floor, fresh legs, pain, rules and consent, and never clear an athlete', () => {
    const all = [CAUTION_SHORT, ...CAUTIONS, ...Object.values(START_CAUTIONS)].join(' ');
    for (const needed of [/qualified coach/, /spot/, /mats/, /dry/, /[Tt]ired/, /pain/, /dizzy/, /rules/, /guardians/, /never says/]) expect(all).toMatch(needed);
    expect(all).not.toMatch(/\b(you are ready|cleared|safe to|allowed to)\b/i);
  });
});

function exactly(value: number, unit: Extract<Measure, { measured: true }>['unit']): Measure {
  return { measured: true, value, unit, ci95: [value, value], t: null, frame: null, source: 'detected' };
}

/** A value clearly off target on one side, within what geometry allows; null when there is none (a knee cannot be straighter than 180°). */
function outside(measure: MeasureId, band: readonly [number, number], softMargin: number, side: 'below' | 'above'): number | null {
  // The test gives lead right below (first step left) and lead left above (first step right).
  if (measure === 'steps.firstLeg') return side === 'below' ? -1 : 1;
  const value = side === 'below' ? band[0] - softMargin - 1 : band[1] + softMargin + 1;
  return band[1] === 180 && side === 'above' ? null : value;
}

function finding(measure: MeasureId, verdict: Finding['verdict'], side: Finding['side'], weight: number): Finding {
  return { measure, verdict, side, value: 70, ci95: [69, 71], band: [45, 65], why: null, weight };
}

