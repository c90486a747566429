// @vitest-environment jsdom
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { EMPTY_LOG } from '../../src/athletelog/index.ts';
import { createRecords, type Records } from '../../src/state/records.ts';
import { createSession, type Session } from '../../src/state/session.ts';
import { success } from '../../src/units/outcome.ts';
import { fakeEngine } from '../support/fake-engine.ts';
import { memoryDevice } from '../support/memory-storage.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { show, type Shown } from '../support/show.tsx';
import { truthAnalysis, truthReading } from '../support/truth-reading.ts';

const truth = readTruthFile('sprint-lunge-good');

let engine: ReturnType<typeof fakeEngine>;
let session: Session;
let records: Records;
let shown: Shown;
let ids = 0;

beforeEach(async () => {
  URL.createObjectURL = () => 'blob:test';
  URL.revokeObjectURL = () => undefined;
  engine = fakeEngine((one, overrides) => truthReading(one, truth, overrides));
  records = createRecords({
    storage: memoryDevice().tab(),
    now: () => new Date(),
    // Ids that fall: the order of rows in the database is not the order of reps.
    newId: () => `id-${String(1000 - (ids += 1))}`,
    askToPersist: () => Promise.resolve('cannot-say'),
    inventedClub: () => Promise.resolve({ log: EMPTY_LOG, analyses: new Map() }),
  });
  await records.open();
  await records.addAthlete('Mira');
  session = createSession(engine);
  shown = await show(session, records);
});
afterEach(async () => { await shown.unmount(); });

const finish = (fileName: string) => shown.after(() => { engine.jobs.at(-1)?.finish(success(truthAnalysis(truth, fileName))); });
const reps = () => records.store.getState().log.reps;
/** Two taps: save, whose. */
const save = async () => {
  const before = reps().length;
  await shown.click(shown.control('Save this rep'));
  await shown.click(shown.control('Mira'));
  for (let i = 0; i < 200 && (reps().length === before || shown.page.querySelector('[role=status]') === null); i += 1) await shown.after();
};

describe('saving a rep', () => {
  it('after a saved rep one tap shows the next clip in line; with none in line it opens one', async () => {
    await shown.after(() => { session.open([new File(['x'], 'one.mp4'), new File(['y'], 'two.mp4')]); });
    await finish('one.mp4');
    await save();
    const second = session.store.getState().clips[1]?.id;
    await shown.click(shown.control('Next clip'));
    expect(session.store.getState().selectedId).toBe(second);
    await finish('two.mp4');
    await save();
    expect(reps().map((rep) => rep.number).toSorted()).toEqual([1, 2]);
    expect(shown.control('Open the next clip').getAttribute('type')).toBe('file');
    expect(await shown.violations()).toEqual([]);
  });

  it('what was said about the latest rep of the day holds for the next one: floor, pass and mark', async () => {
    for (const [i, [pass, markAtM]] of ([['Round-off', 3], ['Round-off, tuck', 3.4], [null, null]] as const).entries()) {
      await shown.after(() => { session.open([new File(['x'], `${i}.mp4`)]); });
      await finish(`${i}.mp4`);
      await save();
      const last = reps().find((rep) => rep.number === i + 1)!;
      if (pass === null) expect(last).toMatchObject({ pass: 'Round-off, tuck', markAtM: 3.4, surfaces: ['rod-floor'] });
      else await shown.after(() => void records.changeRep(last.id, (rep) => ({ ...rep, pass, markAtM, surfaces: ['rod-floor'] })));
    }
  });

  it('the example clip saved under a real athlete is marked as invented and goes with all that is invented; a rep of their own stays', async () => {
    await shown.after(() => { session.openDemo(new File(['x'], 'example.mp4'), 'The example'); });
    await finish('example.mp4');
    await save();
    await shown.after(() => { session.open([new File(['y'], 'own.mp4')]); });
    await finish('own.mp4');
    await save();
    expect(reps().toSorted((a, b) => a.number - b.number).map((rep) => rep.isInvented)).toEqual([true, undefined]);
    await shown.after(() => { window.location.hash = '/sessions'; window.dispatchEvent(new HashChangeEvent('hashchange')); });
    expect(shown.page.textContent).toContain('marked as invented too, whoever they were saved under');
    await shown.click(shown.control('Remove the invented reps'));
    for (let i = 0; i < 200 && reps().length > 1; i += 1) await shown.after();
    expect(reps().map((rep) => [rep.clip?.fileName, rep.isInvented])).toEqual([['own.mp4', undefined]]);
    expect(records.store.getState().log.athletes.map((athlete) => athlete.name)).toEqual(['Mira']);
  });
});
