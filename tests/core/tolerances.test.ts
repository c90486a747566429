import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { truthVerdict } from '../../src/checker/check.ts';
import { BODY_FRACTION, kneeAngleFromSidesDeg } from '../../src/geometry/index.ts';
import type { MeasureId } from '../../src/shapes/measure.ts';
import { MEASURE_IDS } from '../../src/shapes/measure.ts';
import type { StartId } from '../../src/starts/start.ts';
import { START_IDS } from '../../src/starts/start.ts';
import type { Profile } from '../../src/tolerances/index.ts';
import {
  applies,
  BAND_UNITS,
  bandFault,
  BASIS_TAGS,
  changedTolerances,
  copyProfile,
  DEFAULT_PROFILE,
  defaultTolerance,
  editTolerance,
  isComplete,
  isInformational,
  layerProfiles,
  measuresOf,
  naturalRange,
  newOverride,
  profileSchema,
  readToleranceFile,
  resetProfile,
  resetTolerance,
  setBand,
  toleranceOf,
  writeToleranceFile,
} from '../../src/tolerances/index.ts';

const PAIRS = START_IDS.flatMap((start) => measuresOf(start).map((measure) => ({ start, measure })));

/** Truth of the twelve rendered clips with exact truth (ours; rounded): passé knee, lunge length, lean at launch by clip. */
const GOOD_CLIPS: readonly (readonly [StartId, Partial<Record<MeasureId, number>>])[] = [
  ['two-step-run', { 'passe.knee': 56.9, 'plant.lungeRatio': 1.204, 'launch.trunkLean': 13.5, 'steps.length[1]': 0.874, 'steps.length[2]': 1.048 }],
  ['power-hurdle', { 'passe.knee': 63.9, 'plant.lungeRatio': 1.139, 'launch.trunkLean': 13.9 }],
  ['sprint-lunge', { 'passe.knee': 58.2, 'set.backKnee': 150.5, 'plant.lungeRatio': 1.295, 'launch.trunkLean': 12.1 }],
  ['hop-from-passe', { 'set.passeKnee': 52, 'passe.knee': 46, 'plant.lungeRatio': 1.185, 'launch.trunkLean': 12.5 }],
  ['tip-from-passe', { 'set.passeKnee': 52, 'plant.lungeRatio': 1.215, 'plant.trunkLean': 23 }],
  ['half-kneeling', { 'passe.knee': 55.1, 'plant.lungeRatio': 1.215, 'launch.trunkLean': 14.1 }],
];
const PLANTED_FAULTS: readonly (readonly [StartId, MeasureId, number])[] = [
  ['two-step-run', 'plant.lungeRatio', 0.794],
  ['power-hurdle', 'passe.knee', 88.6],
  ['sprint-lunge', 'set.backKnee', 173.6],
  ['hop-from-passe', 'set.passeKnee', 92],
  ['tip-from-passe', 'plant.lungeRatio', 0.917],
  ['half-kneeling', 'launch.trunkLean', -5],
];

describe('defaults', () => {
  test('the schema accepts them, and they hold every measure of every start and nothing else', () => {
    expect(profileSchema.safeParse(DEFAULT_PROFILE).error?.issues ?? []).toEqual([]);
    expect(isComplete(DEFAULT_PROFILE)).toBe(true);
    for (const start of START_IDS) expect(Object.keys(DEFAULT_PROFILE.tolerances[start] ?? {})).toEqual(measuresOf(start));
  });

  test('every measure id belongs to at least one start; only the tip has no pushing leg, only the two-step run has steps (DOMAIN table)', () => {
    for (const measure of MEASURE_IDS) expect(START_IDS.some((start) => applies(start, measure))).toBe(true);
    expect(START_IDS.filter((start) => !applies(start, 'launch.pushKnee'))).toEqual(['tip-from-passe']);
    expect(START_IDS.filter((start) => applies(start, 'steps.count'))).toEqual(['two-step-run']);
    expect(START_IDS.filter((start) => applies(start, 'hurdle.flight'))).toEqual(['two-step-run', 'power-hurdle', 'hop-from-passe']);
    expect(START_IDS.filter((start) => applies(start, 'set.passeKnee'))).toEqual(['hop-from-passe', 'tip-from-passe']);
  });

  test.each(PAIRS)('$start $measure states its basis, and says so where there is no source', ({ start, measure }) => {
    const { basis, band, softMargin, unit } = defaultTolerance(start, measure);
    expect(BASIS_TAGS).toContain(basis.tag);
    expect(basis.tag).not.toBe('coach');
    if (basis.tag === 'CP') expect(basis.text).toMatch(/[Cc]ommon practice, no source|named for it/);
    if (basis.tag === 'P') expect(basis.text).toMatch(/\((?:[A-Z][a-z]+ (?:& [A-Z][a-z]+ )?\d{4})\)/);
    if (band === null) return;
    // No band is narrower than the automatic error floor: ± 10° (twice a standard error of 5°), ± 0.1 leg lengths.
    if (unit === 'deg' && naturalRange(measure)?.[1] !== band[1]) expect(band[1] - band[0]).toBeGreaterThanOrEqual(20);
    if (unit === 'leg') expect(band[1] - band[0]).toBeGreaterThanOrEqual(0.2 - 1e-9);
    if (unit === 'deg') expect(softMargin).toBeGreaterThanOrEqual(10);
  });

  test('the passé band 45 to 65 holds ankle-at-knee 59.9° and lies within 5° of toe-at-knee 42.9° (law of cosines, Drillis & Contini 1966)', () => {
    const thigh = BODY_FRACTION.thigh;
    const shank = BODY_FRACTION.shank;
    // The foot reaches the height of the other knee: that knee lies one thigh below the hip.
    const ankleAtKnee = kneeAngleFromSidesDeg(thigh, shank, thigh);
    const toeAtKnee = kneeAngleFromSidesDeg(thigh, shank + 0.113, thigh);
    expect(ankleAtKnee).toBeCloseTo(59.9, 1);
    expect(toeAtKnee).toBeCloseTo(42.9, 1);
    for (const measure of ['set.passeKnee', 'passe.knee'] as const) {
      const band = defaultTolerance('hop-from-passe', measure).band;
      expect(band).toEqual([45, 65]);
      expect(truthVerdict(ankleAtKnee ?? Number.NaN, band ?? [0, 0], 10)).toBe('in-band');
      expect(45 - (toeAtKnee ?? Number.NaN)).toBeLessThan(5);
    }
  });

  test('the lunge band 1.05 to 1.35 is straight legs opened 65° to 85°, within 0.03 (2 sin of half the angle)', () => {
    const span = (openDeg: number): number => 2 * Math.sin((openDeg * Math.PI) / 360);
    const band = defaultTolerance('two-step-run', 'plant.lungeRatio').band;
    expect(Math.abs(span(65) - (band?.[0] ?? Number.NaN))).toBeLessThan(0.03);
    expect(Math.abs(span(85) - (band?.[1] ?? Number.NaN))).toBeLessThan(0.03);
  });

  test('the shapes of our six good clips are not called off target, each planted fault is off target or near (exact truth of the renders)', () => {
    for (const [start, measures] of GOOD_CLIPS) {
      for (const [measure, value] of Object.entries(measures)) {
        const { band, softMargin } = defaultTolerance(start, measure as MeasureId);
        expect(truthVerdict(value, band ?? [0, 0], softMargin), `${start} ${measure} ${value}`).not.toBe('out');
      }
    }
    for (const [start, measure, value] of PLANTED_FAULTS) {
      const { band, softMargin } = defaultTolerance(start, measure);
      expect(truthVerdict(value, band ?? [0, 0], softMargin), `${start} ${measure} ${value}`).not.toBe('in-band');
    }
  });

  test('no default exists for a measure that the start does not have', () => {
    expect(() => defaultTolerance('tip-from-passe', 'launch.pushKnee')).toThrow(RangeError);
  });
});

describe('bands', () => {
  test('an interior angle beyond 180°, an upside-down band and a first leg between left and right are refused with words', () => {
    expect(bandFault('passe.knee', [45, 181])).toMatch(/180/);
    expect(bandFault('passe.knee', [65, 45])).toMatch(/above/);
    expect(bandFault('steps.firstLeg', [-1, 1])).toMatch(/lead leg/);
    expect(bandFault('launch.trunkLean', [-20, 200])).toBeNull();
    expect(bandFault('passe.knee', [Number.NaN, 45])).toMatch(/numbers/);
  });
});

describe('edits', () => {
  test('setting a band raises the revision by one, marks it as the coach’s, keeps the rest, and leaves the old profile as it was', () => {
    const before = structuredClone(DEFAULT_PROFILE);
    const edited = setBand(DEFAULT_PROFILE, 'hop-from-passe', 'passe.knee', [80, 100], 5);
    const entry = toleranceOf(edited, 'hop-from-passe', 'passe.knee');
    expect(entry).toMatchObject({ band: [80, 100], softMargin: 5, importance: 5, basis: { tag: 'coach' } });
    expect(edited.revision).toBe(2);
    expect(changedTolerances(DEFAULT_PROFILE, edited).map((change) => [change.start, change.measure])).toEqual([['hop-from-passe', 'passe.knee']]);
    expect(DEFAULT_PROFILE).toEqual(before);
  });

  test('reset gives the default back, reset of everything gives all of them', () => {
    const edited = setBand(setBand(DEFAULT_PROFILE, 'hop-from-passe', 'passe.knee', [80, 100]), 'sprint-lunge', 'set.backKnee', null);
    expect(changedTolerances(DEFAULT_PROFILE, resetTolerance(edited, 'hop-from-passe', 'passe.knee'))).toHaveLength(1);
    expect(changedTolerances(DEFAULT_PROFILE, resetProfile(edited))).toEqual([]);
    expect(resetProfile(edited).revision).toBe(4);
  });

  test('a null band means shown, not scored', () => {
    const edited = setBand(DEFAULT_PROFILE, 'sprint-lunge', 'set.backKnee', null);
    const entry = toleranceOf(edited, 'sprint-lunge', 'set.backKnee');
    expect(entry === null ? null : isInformational(entry)).toBe(true);
  });

  test('own cues are set and taken back', () => {
    const set = editTolerance(DEFAULT_PROFILE, 'hop-from-passe', 'passe.knee', { cueAbove: 'Toe to knee!' });
    expect(toleranceOf(set, 'hop-from-passe', 'passe.knee')?.cueAbove).toBe('Toe to knee!');
    const back = editTolerance(set, 'hop-from-passe', 'passe.knee', { cueAbove: null });
    expect(Object.keys(toleranceOf(back, 'hop-from-passe', 'passe.knee') ?? {})).not.toContain('cueAbove');
  });

  test('an override holds only what it changes; layered on the base it rules there and nowhere else, the last layer wins', () => {
    const group = setBand(newOverride(DEFAULT_PROFILE, 'u10', 'Under 10'), 'two-step-run', 'steps.length[1]', [0.5, 0.9]);
    const athlete = setBand(newOverride(DEFAULT_PROFILE, 'kim', 'Kim'), 'two-step-run', 'steps.length[1]', [0.6, 0.8]);
    expect(isComplete(group)).toBe(false);
    const inForce = layerProfiles(DEFAULT_PROFILE, group, athlete);
    expect(changedTolerances(DEFAULT_PROFILE, inForce).map((change) => change.after?.band)).toEqual([[0.6, 0.8]]);
    expect(inForce.id).toBe('default@1+u10@2+kim@2');
    expect(isComplete(inForce)).toBe(true);
    expect(profileSchema.safeParse(inForce).success).toBe(true);
    expect(layerProfiles(DEFAULT_PROFILE)).toBe(DEFAULT_PROFILE);
    expect(toleranceOf(resetTolerance(athlete, 'two-step-run', 'steps.length[1]'), 'two-step-run', 'steps.length[1]')).toBeNull();
  });

  test('an edit of an override starts from its base, not from the default', () => {
    const base = editTolerance(copyProfile(DEFAULT_PROFILE, 'club', 'Club'), 'power-hurdle', 'passe.knee', { importance: 2 });
    const athlete = editTolerance(newOverride(base, 'kim', 'Kim'), 'power-hurdle', 'passe.knee', { band: [50, 70] }, base);
    expect(toleranceOf(athlete, 'power-hurdle', 'passe.knee')).toMatchObject({ band: [50, 70], importance: 2 });
  });

  test('impossible edits are broken calls', () => {
    expect(() => setBand(DEFAULT_PROFILE, 'power-hurdle', 'passe.knee', [90, 40])).toThrow(RangeError);
    expect(() => setBand(DEFAULT_PROFILE, 'power-hurdle', 'steps.count', [1, 2])).toThrow(RangeError);
    expect(() => setBand(DEFAULT_PROFILE, 'power-hurdle', 'passe.knee', [40, 90], -1)).toThrow(RangeError);
    expect(() => editTolerance(DEFAULT_PROFILE, 'power-hurdle', 'passe.knee', { importance: 6 })).toThrow(RangeError);
  });
});

describe('tolerance files', () => {
  const anyEdit = fc.record({
    pair: fc.constantFrom(...PAIRS.filter(({ measure }) => measure !== 'steps.firstLeg')),
    low: fc.integer({ min: 0, max: 900 }),
    width: fc.integer({ min: 0, max: 900 }),
    softMargin: fc.integer({ min: 0, max: 300 }),
    importance: fc.integer({ min: 1, max: 5 }),
    cueBelow: fc.option(fc.constantFrom('Push!', 'Toe to knee – now.', 'Étends la jambe.'), { nil: undefined }),
    off: fc.boolean(),
  });

  const profiles = fc.array(anyEdit, { maxLength: 12 }).chain((edits) =>
    fc.boolean().map((isOverride): Profile => {
      const empty = isOverride ? newOverride(DEFAULT_PROFILE, 'o', 'Override') : copyProfile(DEFAULT_PROFILE, 'c', 'Copy');
      return edits.reduce<Profile>(
        (profile, { pair, low, width, softMargin, importance, cueBelow, off }) =>
          editTolerance(profile, pair.start, pair.measure, {
            band: off ? null : [low / 10, (low + width) / 10],
            softMargin: softMargin / 10,
            importance,
            ...(cueBelow === undefined ? {} : { cueBelow }),
          }),
        empty,
      );
    }),
  );

  test('what is written reads back equal and writes the same bytes again, over 300 random profiles and overrides', () => {
    fc.assert(
      fc.property(profiles, (profile) => {
        const text = writeToleranceFile(profile);
        const read = readToleranceFile(text, 'mine.json');
        expect(read).toEqual({ ok: true, value: JSON.parse(JSON.stringify(profile)) });
        if (read.ok) expect(writeToleranceFile(read.value)).toBe(text);
      }),
      { numRuns: 300 },
    );
  });

  test('a newer version is refused as such, whatever else it holds', () => {
    expect(readToleranceFile(JSON.stringify({ ...DEFAULT_PROFILE, version: 2, novelty: true }), 'new.json')).toEqual({ ok: false, problem: { kind: 'file-too-new', version: 2 } });
  });

  test.each([
    ['not JSON', 'PK\u0003\u0004'],
    ['cut in half', writeToleranceFile(DEFAULT_PROFILE).slice(0, 4000)],
    ['another JSON file', '{"format":"something","version":1}'],
    ['an array', '[]'],
    ['a version that is no number', JSON.stringify({ ...DEFAULT_PROFILE, version: 'two' })],
    ['an unknown start', JSON.stringify({ ...DEFAULT_PROFILE, tolerances: { 'cartwheel-start': {} } })],
    ['a measure that the start does not have', JSON.stringify({ ...DEFAULT_PROFILE, tolerances: { 'tip-from-passe': { 'launch.pushKnee': defaultTolerance('half-kneeling', 'launch.pushKnee') } } })],
    ['a knee band to 190°', JSON.stringify({ ...DEFAULT_PROFILE, tolerances: { 'power-hurdle': { 'passe.knee': { ...defaultTolerance('power-hurdle', 'passe.knee'), band: [45, 190] } } } })],
    ['a band in the wrong unit', JSON.stringify({ ...DEFAULT_PROFILE, tolerances: { 'power-hurdle': { 'passe.knee': { ...defaultTolerance('power-hurdle', 'passe.knee'), unit: 'm' } } } })],
    ['an extra key', JSON.stringify({ ...DEFAULT_PROFILE, script: '1' })],
  ])('%s is refused as unreadable', (_, text) => {
    expect(readToleranceFile(text, 'x.json')).toEqual({ ok: false, problem: { kind: 'unreadable-file', fileName: 'x.json' } });
  });

  test('any one byte lost gives either the refusal or a profile that the schema accepts, never a throw', () => {
    const text = writeToleranceFile(DEFAULT_PROFILE);
    fc.assert(
      fc.property(fc.nat({ max: text.length - 1 }), (at) => {
        const read = readToleranceFile(text.slice(0, at) + text.slice(at + 1), 'x.json');
        expect(read.ok ? profileSchema.safeParse(read.value).success : read.problem.kind).toBe(read.ok ? true : 'unreadable-file');
      }),
      { numRuns: 200 },
    );
  });

  test('every measure has a unit for its band, and every default uses the usual one', () => {
    for (const { start, measure } of PAIRS) expect(defaultTolerance(start, measure).unit).toBe(BAND_UNITS[measure][0]);
  });
});
