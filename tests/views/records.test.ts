import { readFile } from 'node:fs/promises';
import { beforeEach, describe, expect, test } from 'vitest';
import { logSchema, trend } from '../../src/athletelog/index.ts';
import { marks } from '../../src/compare/index.ts';
import { loadInventedClub, type InventedClub } from '../../src/demo/load-invented-club.ts';
import { seededRandom } from '../../src/demo/random.ts';
import { problemWords } from '../../src/cues/index.ts';
import { unpackAnalysis } from '../../src/demo/unpack-track.ts';
import { numberedValues } from '../../src/athletelog/index.ts';
import { keepRepsCurrent } from '../../src/state/keep-reps-current.ts';
import { createRecords, dayOf, sessionsSinceBackup, type Records, type RecordsParts, type SaveWish } from '../../src/state/records.ts';
import { handMeasuredPart, measuredPart, NOTHING_SAID } from '../../src/state/rep-draft.ts';
import { createSession } from '../../src/state/session.ts';
import { profileThatJudged } from '../../src/state/stored-cue.ts';
import { DEFAULT_PROFILE, layerProfiles, newOverride, setBand } from '../../src/tolerances/index.ts';
import { type Outcome } from '../../src/units/outcome.ts';
import { readClip } from '../../src/reading/read-clip.ts';
import { fakeEngine } from '../support/fake-engine.ts';
import { fullAtWrite, memoryDevice, type Device } from '../support/memory-storage.ts';

const publicFile = (path: string) => readFile(new URL(`../../public/${path}`, import.meta.url), 'utf8');

const clubs = new Map<string, Promise<InventedClub>>();
/** Each season is read once for all tests. */
function clubUpTo(day: string): Promise<InventedClub> {
  const club = clubs.get(day) ?? loadInventedClub(day, publicFile);
  clubs.set(day, club);
  return club;
}

let device: Device;
let asked: number;
let ids: number;
let today: Date;

function partsOf(storage: RecordsParts['storage']): RecordsParts {
  return {
    storage,
    now: () => today,
    newId: () => `id-${(ids += 1)}`,
    askToPersist: () => {
      asked += 1;
      return Promise.resolve('not-promised');
    },
    inventedClub: clubUpTo,
  };
}

async function opened(storage = device.tab()): Promise<Records> {
  const records = createRecords(partsOf(storage));
  await records.open();
  return records;
}

function valueOf<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new Error(outcome.problem.kind);
  return outcome.value;
}

const byHand = (athleteId: string, part: Partial<SaveWish> = {}): SaveWish => ({
  athleteId, sessionId: null, measured: handMeasuredPart('two-step-run', 'left', { toHandsS: 1.9, markM: 3.8 }), said: NOTHING_SAID,
  analysis: null, thumbnail: null, clip: null, ...part,
});

beforeEach(() => {
  device = memoryDevice();
  asked = 0;
  ids = 0;
  today = new Date(2026, 2, 3, 23, 30);
});

describe('saving a rep', () => {
  test('makes the session of the day once, remembers athlete and surface, and asks the browser to keep things once', async () => {
    const records = await opened();
    const mira = valueOf(await records.addAthlete('  Mira '));
    expect(mira.name).toBe('Mira');
    const said = { ...NOTHING_SAID, surfaces: ['sprung-floor' as const] };
    const first = valueOf(await records.saveRep(byHand(mira.id, { said })));
    const second = valueOf(await records.saveRep(byHand(mira.id, { said })));
    const { log, remembered, persist } = records.store.getState();
    expect(log.sessions.map((session) => session.date)).toEqual(['2026-03-03']);
    expect([first.number, second.number, second.sessionId]).toEqual([1, 2, first.sessionId]);
    expect(remembered).toMatchObject({ athleteId: mira.id, surfaces: ['sprung-floor'] });
    expect([asked, persist]).toEqual([1, 'not-promised']);
    today = new Date(2026, 2, 4, 0, 10);
    valueOf(await records.saveRep(byHand(mira.id)));
    expect(records.store.getState().log.sessions.map((session) => session.date).toSorted()).toEqual(['2026-03-03', '2026-03-04']);
  });

  test('the day is that of the clock on the wall, not of Greenwich', () => {
    expect(dayOf(new Date(2026, 0, 5, 0, 1))).toBe('2026-01-05');
    expect(dayOf(new Date(2026, 11, 31, 23, 59))).toBe('2026-12-31');
  });

  test('by hand, 1.9 s by stopwatch counts as 1.6 to 2.2 s and 3.8 m off the floor as 3.7 to 3.9 m; nothing is judged', () => {
    const part = handMeasuredPart('two-step-run', 'left', { toHandsS: 1.9, markM: 3.8 });
    expect(part.measures['time.toHands']).toMatchObject({ measured: true, value: 1.9, unit: 's', ci95: [expect.closeTo(1.6, 9), expect.closeTo(2.2, 9)], source: 'user' });
    expect(part.measures['mark.toHands']).toMatchObject({ value: 3.8, unit: 'm', ci95: [expect.closeTo(3.7, 9), expect.closeTo(3.9, 9)] });
    expect([part.clip, part.judgedBy]).toEqual([null, null]);
    expect(() => handMeasuredPart('two-step-run', 'left', { toHandsS: 0, markM: null })).toThrow(RangeError);
  });

  test('a rep keeps its clip only when that was wished; the track is kept in any case', async () => {
    const records = await opened();
    const mira = valueOf(await records.addAthlete('Mira'));
    const analysis = unpackAnalysis({ timesUs: [0, 16667], widthPx: 4, heightPx: 4, quarterPx: Array.from({ length: 132 }, () => 1), sdQuarterPx: Array.from({ length: 66 }, () => 4), scorePercent: Array.from({ length: 66 }, () => 1), model: 'm', backend: 'b' }, false);
    const kept = valueOf(await records.saveRep(byHand(mira.id, { analysis, clip: new File(['clip'], 'a.mp4') })));
    const bare = valueOf(await records.saveRep(byHand(mira.id, { analysis })));
    const { keptClips, keptTracks } = records.store.getState();
    expect([keptClips, keptTracks]).toEqual([new Set([kept.id]), new Set([kept.id, bare.id])]);
    expect(await records.clipFileOf(bare.id)).toBeNull();
    expect((await records.clipFileOf(kept.id))?.name).toBe('a.mp4');
  });
});

describe('what goes wrong is said', () => {
  test('no room: the problem is shown, nothing changed, and a backup text still comes out', async () => {
    const full = fullAtWrite(1);
    const records = await opened(device.tab({ prepare: full.prepare }));
    const mira = valueOf(await records.addAthlete('Mira'));
    full.arm(true);
    expect((await records.saveRep(byHand(mira.id))).ok).toBe(false);
    expect(records.store.getState()).toMatchObject({ problem: { kind: 'storage-full' }, log: { reps: [] } });
    full.arm(true);
    expect(await records.backup()).toContain('"Mira"');
    full.arm(false);
    records.putProblemAway();
    expect(records.store.getState().problem).toBeNull();
  });

  test('no room for the clip alone: the rep is saved, and that is what is said', async () => {
    const records = await opened(device.tab({ isDiskFull: () => true }));
    const mira = valueOf(await records.addAthlete('Mira'));
    const rep = valueOf(await records.saveRep(byHand(mira.id, { clip: new File(['clip'], 'a.mp4') })));
    expect(records.store.getState()).toMatchObject({ problem: { kind: 'clip-not-kept' }, log: { reps: [{ id: rep.id }] }, keptClips: new Set() });
    expect(problemWords({ kind: 'clip-not-kept' }).text).toContain('The rep is saved');
    records.putProblemAway();
    expect(await records.keepClip(rep.id, new File(['clip'], 'a.mp4'))).toEqual({ ok: false, problem: { kind: 'clip-not-kept' } });
    expect(records.store.getState().problem).toEqual({ kind: 'clip-not-kept' });
  });

  test('a browser that keeps nothing: saving fails in words, nothing is thrown', async () => {
    const records = createRecords(partsOf(null));
    await records.open();
    expect(records.store.getState().status).toBe('unavailable');
    expect(await records.addAthlete('Mira')).toEqual({ ok: false, problem: { kind: 'storage-unavailable' } });
  });

  test('a damaged, foreign or newer backup changes nothing', async () => {
    const records = await opened();
    valueOf(await records.addAthlete('Mira'));
    const good = await records.backup();
    for (const [text, kind] of [['{', 'unreadable-file'], ['', 'empty-file'], ['{"format":"another","version":1}', 'unreadable-file'], [good.replace('"version": 1\n}', '"version": 9\n}'), 'file-too-new'], [good.slice(0, -40), 'unreadable-file']] as const) {
      const outcome = await records.restore(text, 'b.json');
      expect(outcome).toMatchObject({ ok: false, problem: { kind } });
      expect(records.store.getState().log.athletes.map((athlete) => athlete.name)).toEqual(['Mira']);
    }
  });
});

describe('undo', () => {
  test('deletions come back newest first; an opened backup too, with the tracks that it had dropped', async () => {
    const records = await opened();
    const [mira, nils] = [valueOf(await records.addAthlete('Mira')), valueOf(await records.addAthlete('Nils'))];
    const analysis = unpackAnalysis({ timesUs: [0, 16667], widthPx: 4, heightPx: 4, quarterPx: Array.from({ length: 132 }, () => 1), sdQuarterPx: Array.from({ length: 66 }, () => 4), scorePercent: Array.from({ length: 66 }, () => 1), model: 'm', backend: 'b' }, false);
    const rep = valueOf(await records.saveRep(byHand(mira.id, { analysis })));
    const names = () => records.store.getState().log.athletes.map((athlete) => athlete.name).toSorted();
    const empty = (await records.backup()).replace(/"athletes": \[[\s\S]*?\],\n {4}"reps"/, '"athletes": [],\n    "reps"').replace(/"reps": \[[\s\S]*\],\n {4}"sessions": \[[\s\S]*?\n {4}\]/, '"reps": [],\n    "sessions": []');
    valueOf(await records.remove({ what: 'athlete', id: nils.id }));
    valueOf(await records.restore(empty, 'old.json'));
    expect([names(), records.store.getState().keptTracks.size]).toEqual([[], 0]);
    expect(records.store.getState().undoable.map((step) => step.what)).toEqual(['athlete', 'replaced']);
    valueOf(await records.undoRemove());
    expect([names(), records.store.getState().keptTracks]).toEqual([['Mira'], new Set([rep.id])]);
    valueOf(await records.undoRemove());
    expect(names()).toEqual(['Mira', 'Nils']);
    expect(records.store.getState().undoable).toEqual([]);
  });

  test('"erase for good" takes the file of a kept clip off the disk', async () => {
    const records = await opened();
    const mira = valueOf(await records.addAthlete('Mira'));
    valueOf(await records.saveRep(byHand(mira.id, { clip: new File(['clip'], 'a.mp4') })));
    valueOf(await records.remove({ what: 'athlete', id: mira.id }));
    expect(device.files.size).toBe(1);
    await records.forgetRemoved();
    expect(device.files.size).toBe(0);
    expect(records.store.getState().undoable).toEqual([]);
  });
});

describe('backup reminder (R22)', () => {
  test('counts the coach\'s own sessions since the last backup; invented ones do not count', async () => {
    const records = await opened();
    for (let day = 1; day <= 10; day += 1) valueOf(await records.addSession(`2026-03-${String(day).padStart(2, '0')}`));
    valueOf(await records.loadDemo());
    expect(sessionsSinceBackup(records.store.getState())).toBe(10);
    await records.backup();
    expect(sessionsSinceBackup(records.store.getState())).toBe(0);
    valueOf(await records.addSession('2026-03-11'));
    expect(sessionsSinceBackup(records.store.getState())).toBe(1);
  });
});

describe('two tabs', () => {
  test('what one tab writes the other shows', async () => {
    const [one, two] = [await opened(), await opened()];
    const mira = valueOf(await one.addAthlete('Mira'));
    await expect.poll(() => two.store.getState().log.athletes.map((athlete) => athlete.name)).toEqual(['Mira']);
    valueOf(await two.changeAthlete(mira.id, (athlete) => ({ ...athlete, lead: 'right' })));
    await expect.poll(() => one.store.getState().log.athletes[0]?.lead).toBe('right');
  });
});

describe('tolerances of athletes and groups', () => {
  test('the athlete\'s own lie over those of the group, those over the profile in use; the layered id finds them again', async () => {
    const records = await opened();
    const mira = valueOf(await records.addAthlete('Mira'));
    valueOf(await records.changeAthlete(mira.id, (athlete) => ({ ...athlete, groups: ['Small'] })));
    const forGroup = setBand(newOverride(DEFAULT_PROFILE, 'small', 'Small'), 'two-step-run', 'passe.knee', [70, 90]);
    const own = setBand(newOverride(DEFAULT_PROFILE, 'mira', 'Mira'), 'two-step-run', 'plant.lungeRatio', [0.8, 1]);
    for (const profile of [forGroup, own]) valueOf(await records.putProfile(profile));
    valueOf(await records.putAssignments([{ profileId: 'mira', athleteIds: [mira.id], groups: [] }, { profileId: 'small', athleteIds: [], groups: ['Small'] }]));
    const inForce = records.profileFor(mira.id);
    expect(inForce.tolerances['two-step-run']?.['passe.knee']?.band).toEqual([70, 90]);
    expect(inForce.tolerances['two-step-run']?.['plant.lungeRatio']?.band).toEqual([0.8, 1]);
    expect(records.profileFor(null)).toBe(DEFAULT_PROFILE);
    expect(inForce).toEqual(layerProfiles(DEFAULT_PROFILE, forGroup, own));
    expect(profileThatJudged(records.store.getState().profiles, { id: inForce.id, revision: inForce.revision })).toEqual(inForce);
    expect(profileThatJudged([], { id: inForce.id, revision: 1 })).toBeNull();
  });
});

describe('the invented club', () => {
  let club: InventedClub;
  beforeEach(async () => { club = await clubUpTo('2026-11-25'); });

  test('six athletes, 16 sessions in the past, all marked as invented; the log passes the gate and the same day gives the same season', async () => {
    const { log } = club;
    expect(logSchema.parse(log)).toEqual(log);
    expect([log.athletes.length, log.sessions.length]).toEqual([6, 16]);
    expect([...log.athletes, ...log.sessions].every((row) => row.isInvented && row.id.startsWith('invented-'))).toBe(true);
    expect(log.sessions.every((session) => session.date < '2026-11-25')).toBe(true);
    expect(JSON.stringify((await loadInventedClub('2026-11-25', publicFile)).log)).toBe(JSON.stringify(log));
  });

  test('holds what was put into it: Mika grows faster, Juno does not, Tavi\'s mark creeps forward', () => {
    const of = (id: string) => trend(club.log, id, id === 'invented-juno' ? 'power-hurdle' : 'two-step-run', 'launch.hipSpeed');
    expect(of('invented-mika')).toMatchObject({ verdict: 'rising', means: 'faster' });
    expect(of('invented-pell')?.means).not.toBe('faster');
    const creeps = club.log.sessions.flatMap((session) => marks(numberedValues(club.log, 'invented-tavi', session.id, 'mark.toHands', 'two-step-run'))?.perRep ?? []);
    const mean = creeps.reduce((sum, each) => sum + each, 0) / creeps.length;
    // 6 % of about 4.3 m over seven steps from rep 1 to rep 8 are 3 to 4 cm a rep.
    expect(mean).toBeGreaterThan(0.02);
    expect(mean).toBeLessThan(0.055);
  });

  test('every interval holds its value, no knee bends past straight, every time and length is above 0', () => {
    for (const rep of club.log.reps) {
      for (const [id, measure] of Object.entries(rep.measures)) {
        if (!measure.measured) continue;
        expect(measure.ci95[0] <= measure.value && measure.value <= measure.ci95[1], `${rep.id} ${id}`).toBe(true);
        if (measure.unit === 'deg' && /[kK]nee|split/.test(id)) expect(measure.value, `${rep.id} ${id}`).toBeLessThanOrEqual(180);
        if (measure.unit === 's' || measure.unit === 'm' || measure.unit === 'leg') expect(measure.value, `${rep.id} ${id}`).toBeGreaterThanOrEqual(0);
      }
    }
  });

  test('four reps have the body lines of drawn athletes, read with the start and lead leg of their athlete', () => {
    expect(club.analyses.size).toBe(4);
    // Real output of the model, with how unsure it was of each joint.
    for (const { track } of club.analyses.values()) expect(track.sd.filter((sd) => sd > 0).length).toBeGreaterThan(track.times.length * 10);
    for (const [id, analysis] of club.analyses) {
      const rep = club.log.reps.find((each) => each.id === id);
      const reading = readClip(analysis, rep?.stated);
      expect([reading.start.value, reading.lead.value]).toEqual([rep?.start, rep?.lead]);
      expect(rep?.measures).toEqual(reading.measures);
    }
  });

  test('a track that cannot be loaded costs only its body lines', async () => {
    const bare = await loadInventedClub('2026-11-25', () => Promise.resolve(null));
    expect([bare.analyses.size, bare.log.reps.length]).toEqual([0, club.log.reps.length]);
  });

  test('comes and goes in one step, and what is real stays', async () => {
    const records = await opened();
    const mira = valueOf(await records.addAthlete('Mira'));
    valueOf(await records.saveRep(byHand(mira.id)));
    valueOf(await records.loadDemo());
    expect(records.store.getState().log.athletes).toHaveLength(7);
    expect(records.store.getState().keptTracks.size).toBe(4);
    valueOf(await records.remove({ what: 'invented' }));
    const { log, keptTracks } = records.store.getState();
    expect([log.athletes.map((athlete) => athlete.name), log.reps.length, log.sessions.length, keptTracks.size]).toEqual([['Mira'], 1, 1, 0]);
  });

  test('its random numbers: 20,000 normal draws have mean 0 ± 0.02 and SD 1 ± 0.02', () => {
    // Three standard errors: 3/√20000 = 0.021 for the mean, 3/√40000 = 0.015 for the SD.
    const random = seededRandom(7);
    const draws = Array.from({ length: 20_000 }, () => random.normal());
    const mean = draws.reduce((sum, each) => sum + each, 0) / draws.length;
    const sd = Math.sqrt(draws.reduce((sum, each) => sum + (each - mean) ** 2, 0) / draws.length);
    expect(Math.abs(mean)).toBeLessThan(0.022);
    expect(Math.abs(sd - 1)).toBeLessThan(0.016);
  });
});

describe('a saved rep on screen', () => {
  test('is shown from its track without the model, and what is stated then goes to the rep by itself', async () => {
    const records = await opened();
    valueOf(await records.loadDemo());
    const rep = records.store.getState().log.reps.find((each) => each.athleteId === 'invented-mika' && records.store.getState().keptTracks.has(each.id));
    const analysis = rep === undefined ? null : await records.analysisOf(rep.id);
    if (rep === undefined || analysis === null) throw new Error('no tracked rep');
    const engine = fakeEngine((measured, stated) => readClip(measured, stated));
    const session = createSession(engine, (id) => records.profileFor(id));
    const end = keepRepsCurrent(session, records);
    const saved = { repId: rep.id, athleteId: rep.athleteId };
    session.openStored({ saved, title: 'Mika, rep 1', isDemo: true, file: null, analysis, stated: rep.stated });
    session.openStored({ saved, title: 'Mika, rep 1', isDemo: true, file: null, analysis, stated: rep.stated });
    const [clip, ...others] = session.store.getState().clips;
    expect(others).toEqual([]);
    expect(clip).toMatchObject({ url: null, file: null, stage: { kind: 'done' } });
    expect(engine.jobs).toEqual([]);
    if (clip?.stage.kind !== 'done') throw new Error('not shown');
    expect(clip.stage.reading.measures).toEqual(rep.measures);
    session.state(clip.id, { ...rep.stated, heightM: 1.2 });
    await expect.poll(() => records.store.getState().log.reps.find((each) => each.id === rep.id)?.stated.heightM).toBe(1.2);
    const now = records.store.getState().log.reps.find((each) => each.id === rep.id);
    expect(now?.measures).toEqual(measuredPart(analysis, readClip(analysis, { ...rep.stated, heightM: 1.2 }), {}, DEFAULT_PROFILE, false).measures);
    expect(now?.measures['mark.toHands']).not.toEqual(rep.measures['mark.toHands']);
    end();
  });
});
