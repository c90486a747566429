import { describe, expect, test } from 'vitest';
import { checkPicture, PRE_CHECK_IDS, preCheck, type Lens, type PictureFault, type PictureNote } from '../../src/camera/index.ts';
import type { PictureQuality } from '../../src/clip/picture-quality.ts';
import { preCheckFigure, preCheckWanted, qualityWords } from '../../src/cues/index.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX, LANDMARKS } from '../../src/pose/landmarks.ts';
import type { PoseTrack } from '../../src/pose/pose-track.ts';
import type { PersonSighting, Reading } from '../../src/reading/reading.ts';
import { readClip } from '../../src/reading/read-clip.ts';
import { START_IDS } from '../../src/starts/start.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { truthTrack } from '../support/truth-reading.ts';

const track = truthTrack(readTruthFile('sprint-lunge-good'));
const reading = readClip({ track, clip: { timeBase: { kind: 'known' } } });
const good: PictureQuality = { athleteHeightPx: 400, brightness: 0.4, sharpness: 0.18 };
const check = (change: { quality?: Partial<PictureQuality>; fps?: number; people?: PersonSighting[]; track?: PoseTrack; reading?: Partial<Reading> }): PictureNote[] =>
  checkPicture(
    { track: change.track ?? track, people: change.people ?? [], quality: { ...good, ...change.quality }, clip: { fps: { median: change.fps ?? 60 } } },
    { ...reading, ...change.reading },
  );
const timeOf = (id: 'firstMove' | 'hands'): number => {
  const moment = reading.moments[id];
  return moment.found ? moment.t : NaN;
};

describe('notes on the pictures', () => {
  test('a good clip at 60 pictures a second has none', () => {
    expect(check({})).toEqual([]);
  });
  test.each([[205, null], [204, 'hint'], [120, 'hint'], [119, 'poor']] as const)('an athlete of %d px: %s (205 wanted, below 120 two pixels turn a thigh by 4°)', (athleteHeightPx, severity) => {
    const notes = check({ quality: { athleteHeightPx } });
    expect(notes.map((note) => note.severity)).toEqual(severity === null ? [] : [severity]);
  });
  test('the limit of 120 px is where 2 px turn a thigh of 0.245 heights by 3.9°', () => {
    expect((Math.atan(2 / (0.245 * 120)) * 180) / Math.PI).toBeCloseTo(3.9, 1);
  });
  test('luma 0.22 passes, 0.20 is dim (2.5 stops under mid-grey, 0.209), 0.09 too, 0.08 is dark (5.5 stops, 0.081); unknown says nothing', () => {
    expect([0.22, 0.2, 0.08, null].map((brightness) => check({ quality: { brightness } })[0]?.severity)).toEqual([undefined, 'hint', 'poor', undefined]);
  });
  test('60 pictures a second pass, 50 are few, 25 too few; 30 shown of a clip slowed 4 times are 120', () => {
    expect([60, 50, 25].map((fps) => check({ fps })[0]?.severity)).toEqual([undefined, 'hint', 'poor']);
    expect(check({ fps: 30, reading: { timeBase: { kind: 'slowed', factor: 4 } } })).toEqual([]);
  });
  test('half the sharpness left in the fastest frames is a hint, a third poor, all of it nothing', () => {
    const moving = track.times.map((t) => (t > timeOf('firstMove') ? 1 : 0));
    const left = (share: number): Float32Array => Float32Array.from(moving, (fast) => (fast === 1 ? 0.2 * share : 0.2));
    for (const [share, severity] of [[0.5, 'hint'], [0.33, 'poor'], [1, undefined]] as const) {
      const [note] = check({ quality: { sharpnessByFrame: left(share) } });
      expect(note?.severity).toBe(severity);
      if (note?.kind === 'blurred') expect(note.shareLeft).toBeCloseTo(share, 5);
    }
  });
  test('nowhere crisp is out of focus', () => {
    expect(check({ quality: { sharpness: 0.05 } })).toMatchObject([{ kind: 'soft', severity: 'hint' }]);
  });
  test('wrists 5 px left of the picture at the hands are named, with the moment', () => {
    const xy = track.xy.slice();
    track.times.forEach((t, i) => {
      if (Math.abs(t - timeOf('hands')) < 0.05) xy[(i * LANDMARK_COUNT + LANDMARK_INDEX.leftWrist) * 2] = -5;
    });
    expect(check({ track: { ...track, xy } })).toMatchObject([{ kind: 'cropped', parts: ['hands'], moments: ['hands'], severity: 'poor' }]);
  });
  test('someone who covers 20 % of the athlete during the start is a hint, 50 % poor, and nobody minds before it', () => {
    const seen = (t: number, share: number): PersonSighting[] => [
      { t, box: { x: 100, y: 100, width: 100, height: 300 }, isAthlete: true },
      { t, box: { x: 200 - 100 * share, y: 50, width: 200, height: 400 }, isAthlete: false },
    ];
    const during = (timeOf('firstMove') + timeOf('hands')) / 2;
    expect(check({ people: seen(during, 0.2) })).toMatchObject([{ kind: 'person-crossing', severity: 'hint' }]);
    expect(check({ people: seen(during, 0.5) })).toMatchObject([{ kind: 'person-crossing', severity: 'poor' }]);
    expect(check({ people: seen(timeOf('firstMove') - 0.5, 0.5) })).toEqual([]);
  });
  test('a background that moved by 0.1 legs is said with what was removed; 0.01 legs is not worth a word', () => {
    const moved = (legs: number): Partial<PictureQuality> => ({ background: { xPx: Float32Array.from(track.times, (_, i) => (i === 9 ? legs * reading.legLengthPx : 0)), yPx: new Float32Array(track.times.length), turnRad: new Float32Array(track.times.length) } });
    const [note] = check({ quality: moved(0.1) });
    expect(note).toMatchObject({ kind: 'camera-shake', severity: 'hint' });
    if (note?.kind === 'camera-shake') expect(note.removedLeg).toBeCloseTo(0.1, 5);
    expect(check({ quality: moved(0.01) })).toEqual([]);
  });
  test('the camera’s own warning is passed on with what was seen, poor once something is refused', () => {
    const off = (warning: 'off-side' | 'all-refused'): PictureNote[] => check({ reading: { camera: { ...reading.camera, warning, seen: { yawDeg: 14, sdDeg: 3 } } } });
    expect(off('off-side')).toEqual([{ kind: 'off-side', yawDeg: 14, sdDeg: 3, severity: 'hint' }]);
    expect(off('all-refused')[0]?.severity).toBe('poor');
  });
  test('a camera that surely looks down or up by more than 3° is told of, one that may not is not', () => {
    const tilted = (tiltDeg: number, tiltSdDeg: number): PictureNote[] => check({ reading: { camera: { ...reading.camera, tiltDeg, tiltSdDeg } } });
    expect(tilted(6, 2.5)).toEqual([{ kind: 'looking-down', tiltDeg: 6, sdDeg: 2.5, severity: 'hint' }]);
    expect(tilted(5, 2.5)).toEqual([]);
    expect(qualityWords(tilted(-6, 2.5)[0]!).reason).toContain('looks up');
  });
  test('the poor come first', () => {
    expect(check({ fps: 50, quality: { brightness: 0.01 } }).map((note) => note.severity)).toEqual(['poor', 'hint']);
  });
});

describe('before filming', () => {
  /** A standing athlete of `heightPx`, hips at `x`, feet at `floorY`, facing right; joint heights by body fractions. */
  function standing(heightPx: number, x: number, floorY: number, facing: 1 | -1 = 1): PoseTrack {
    const still: PoseTrack = {
      times: new Float64Array([0]), widthPx: 1280, heightPx: 720, xy: new Float32Array(LANDMARK_COUNT * 2), score: new Float32Array(LANDMARK_COUNT).fill(1),
      sd: new Float32Array(LANDMARK_COUNT).fill(NaN), model: 'drawn', backend: 'none',
    };
    const level: Partial<Record<string, number>> = { Shoulder: 0.818, Hip: 0.53, Knee: 0.285, Ankle: 0.039, Heel: 0.01, FootIndex: 0.01, Wrist: 0.49, Elbow: 0.63 };
    for (const name of LANDMARKS) {
      const part = name.replace(/^(left|right)/, '');
      const k = LANDMARK_INDEX[name];
      // The lens is that of an unknown phone: seen from straight on, sides separate by width × (x − middle) / f.
      const half = { Shoulder: 0.185, Hip: 0.12 }[part] ?? 0;
      const apart = half * 0.491 * heightPx * ((x - 640) / (0.85 * 1280)) * (name.startsWith('left') ? -1 : 1) * facing;
      still.xy[2 * k] = x + facing * (part === 'FootIndex' ? 0.1 * heightPx : part === 'Heel' ? -0.03 * heightPx : 0) + apart;
      still.xy[2 * k + 1] = floorY - (level[part] ?? 0.93) * heightPx;
    }
    return still;
  }
  const ask = (still: PoseTrack, fps: number | null = 60) => preCheck({ track: still, quality: { brightness: 0.4 }, fps, start: 'sprint-lunge' });

  test('an athlete of 300 px near the left edge, facing right, side-on: ready; height and facing are read', () => {
    const found = ask(standing(300, 300, 600));
    expect(found.notes).toEqual([]);
    expect(found.isReady).toBe(true);
    expect(found.heightPx).toBeCloseTo(300, 0);
    expect(found.faces).toBe('left-to-right');
    expect(Math.abs(found.offSide!.yawDeg)).toBeLessThan(1);
  });
  test('facing left from there the hands come down outside: 3.7 legs are needed, 300 px are there', () => {
    const [note] = ask(standing(300, 300, 600, -1)).notes;
    expect(note).toMatchObject({ kind: 'no-room-ahead', severity: 'poor' });
    if (note?.kind === 'no-room-ahead') expect(note.missingHeights).toBeCloseTo(3.7 * 0.491 - 1, 2);
  });
  test('450 px tall on a floor at row 600: arms overhead reach row −8: within what the height may be wrong by, a hint; 470 px tall they reach row −35: poor', () => {
    // It also stands 1088 / 450 = 2.4 body heights from a usual phone: 3 are wanted.
    expect(ask(standing(450, 200, 600)).notes).toMatchObject([{ kind: 'too-near', severity: 'hint' }, { kind: 'no-headroom', severity: 'hint' }]);
    expect(ask(standing(470, 200, 600)).notes).toMatchObject([{ kind: 'no-headroom', severity: 'poor' }, { kind: 'too-near', severity: 'hint' }]);
  });
  test('30 pictures a second are a hint and no hindrance; a still says nothing of them; an empty picture is not ready', () => {
    expect(ask(standing(300, 300, 600), 30)).toMatchObject({ isReady: true, notes: [{ kind: 'few-frames' }] });
    expect(ask(standing(300, 300, 600), null).notes).toEqual([]);
    const empty = standing(300, 300, 600);
    empty.xy.fill(NaN);
    expect(ask(empty)).toMatchObject({ isReady: false, notes: [{ kind: 'nobody-seen' }], heightPx: null });
    // Somebody whose legs the model does not believe in has feet outside the picture.
    const legless = standing(300, 300, 600);
    expect(ask({ ...legless, score: legless.score.map(() => 0.1) })).toMatchObject({ isReady: false, notes: [{ kind: 'cropped', parts: ['feet'] }], rows: [] });
  });
  test('every row has its figure: 300 px tall is f / 300 body heights away, 600 / 300 to the top edge, hips 980 px from the right edge', () => {
    const figures = (lens?: Lens) => Object.fromEntries(preCheck({
      track: standing(300, 300, 600), quality: { brightness: 0.4, sharpness: 0.2 }, fps: 60, start: 'sprint-lunge', others: 2, ...(lens === undefined ? {} : { lens }),
    }).rows.map(({ id, figure }) => [id, figure]));
    const all = figures({ focalPx: 900, relativeSd: 0.1 });
    expect(Object.keys(all)).toEqual(PRE_CHECK_IDS);
    expect(all['height']).toBeCloseTo(300, 0);
    expect(all['distance']).toBeCloseTo(900 / 300, 1);
    expect(figures()['distance']).toBeCloseTo((0.85 * 1280) / 300, 1);
    expect(all['room-above']).toBeCloseTo(2, 1);
    expect(all['room-ahead']).toBeCloseTo(980 / (0.491 * 300), 0);
    expect([all['light'], all['focus'], all['pictures'], all['others']]).toEqual([0.4, 0.2, 60, 2]);
    // One picture cannot tell of movement.
    expect([all['smear'], all['still-phone']]).toEqual([null, null]);
  });
  test('smear is judged only of somebody who moves: an arm at 3 leg lengths a second loses half its sharpness, a standing athlete is not judged', () => {
    const still = standing(300, 300, 600);
    const legPx = 0.491 * 300;
    const film = (legS: number): PoseTrack => {
      const count = 24;
      const xy = new Float32Array(count * LANDMARK_COUNT * 2);
      for (let i = 0; i < count; i += 1) {
        xy.set(still.xy, i * LANDMARK_COUNT * 2);
        // From the twelfth frame on the left wrist swings.
        xy[(i * LANDMARK_COUNT + LANDMARK_INDEX.leftWrist) * 2]! += (Math.max(0, i - 11) * legS * legPx) / 24;
      }
      const many = (value: number) => new Float32Array(count * LANDMARK_COUNT).fill(value);
      return { ...still, times: Float64Array.from({ length: count }, (_, i) => i / 24), xy, score: many(1), sd: many(NaN) };
    };
    const sharpnessByFrame = Float32Array.from({ length: 24 }, (_, i) => (i > 11 ? 0.1 : 0.2));
    const smear = (legS: number) => preCheck({ track: film(legS), quality: { brightness: 0.4, sharpnessByFrame }, fps: 60, start: null }).rows.find(({ id }) => id === 'smear');
    expect(smear(3)?.figure).toBeCloseTo(0.5, 5);
    expect(smear(3)?.note).toMatchObject({ kind: 'blurred', severity: 'hint' });
    expect(smear(0)).toMatchObject({ figure: null, note: null });
  });
  test('someone else in view is a hint; nearer than 2 body heights is poor', () => {
    const near = preCheck({ track: standing(300, 640, 600), quality: { brightness: 0.4 }, fps: 60, start: null, others: 1, lens: { focalPx: 590, relativeSd: 0.1 } });
    expect(near.notes).toMatchObject([{ kind: 'too-near', severity: 'poor' }, { kind: 'others-in-view', severity: 'hint' }]);
    expect(near.isReady).toBe(false);
  });
  test('every row says what was seen and what is wanted, for every start, with or without a figure', () => {
    for (const start of [null, ...START_IDS]) {
      const { rows } = preCheck({ track: standing(300, 300, 600), quality: { brightness: 0.4, sharpness: 0.2 }, fps: null, start });
      for (const row of rows) {
        expect(preCheckFigure(row, true).length, row.id).toBeGreaterThan(0);
        expect(preCheckFigure({ ...row, figure: null }, false)).not.toMatch(/NaN|null/);
        expect(preCheckWanted(row.id, start).length).toBeGreaterThan(0);
      }
    }
    expect(preCheckWanted('room-ahead', 'two-step-run')).toBe('6.0 for the two-step run');
  });
});

describe('words for the pictures', () => {
  const notes: PictureFault[] = [
    { kind: 'athlete-too-small', heightPx: 118.6, wantedPx: 205 }, { kind: 'blurred', shareLeft: 0.41 }, { kind: 'soft', sharpness: 0.05 }, { kind: 'dim', brightness: 0.07 },
    { kind: 'cropped', parts: ['hands', 'feet'], moments: ['hands'] }, { kind: 'person-crossing', share: 0.33, atS: 1.25 }, { kind: 'few-frames', fps: 29.97 },
    { kind: 'camera-shake', removedPx: 12.3, removedLeg: 0.08 }, { kind: 'off-side', yawDeg: -14, sdDeg: 3 }, { kind: 'tipped', rollDeg: -4 }, { kind: 'looking-down', tiltDeg: 6.4, sdDeg: 2.2 },
    { kind: 'no-headroom', missingHeights: 0.2 }, { kind: 'no-room-ahead', missingHeights: 0.3 }, { kind: 'nobody-seen' },
    { kind: 'too-near', heights: 2.44, wantedHeights: 3 }, { kind: 'others-in-view', count: 2 },
  ];
  test.each([
    ['athlete-too-small', '119 pixels'], ['blurred', '41 %'], ['soft', '0.05'], ['dim', '7 %'], ['cropped', 'The hands and the feet'], ['person-crossing', '33 %'],
    ['few-frames', '30 pictures a second'], ['camera-shake', '12 pixels'], ['off-side', '14°'], ['tipped', '4° to the left'], ['looking-down', 'looks down by about 6° (± 4°)'], ['no-headroom', '0.2 body heights'], ['no-room-ahead', '0.3 body heights'],
    ['too-near', '2.4 body heights'], ['others-in-view', '2 more are'],
  ] as const)('%s names its figure: %s', (kind, figure) => {
    const note = notes.find((one) => one.kind === kind)!;
    expect(qualityWords({ ...note, severity: 'hint' }).reason).toContain(figure);
  });
  test('at 30 pictures a second a moment is known to ± 17 ms', () => {
    expect(qualityWords({ kind: 'few-frames', fps: 30, severity: 'hint' }).reason).toContain('± 17 ms');
  });
  test('every note says what to do next time, in a sentence of its own', () => {
    const said = notes.map((note) => qualityWords({ ...note, severity: 'poor' }).whatToDoNextTime);
    for (const text of said) expect(text).toMatch(/^[A-Z].{20,}\.$/);
    expect(new Set(said).size).toBe(said.length);
  });
});
