// @vitest-environment jsdom
import { beforeEach, describe, expect, it, vi } from 'vitest';
import { createSession } from '../../src/state/session.ts';
import { failure, success } from '../../src/units/outcome.ts';
import { fakeEngine } from '../support/fake-engine.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { truthAnalysis, truthReading } from '../support/truth-reading.ts';

const truth = readTruthFile('sprint-lunge-good');
const analysis = truthAnalysis(truth, 'a.mp4');
const urls = new Set<string>();
let made = 0;

beforeEach(() => {
  urls.clear();
  vi.stubGlobal('URL', Object.assign(URL, {
    createObjectURL: () => {
      made += 1;
      urls.add(`blob:test/${made}`);
      return `blob:test/${made}`;
    },
    revokeObjectURL: (url: string) => urls.delete(url),
  }));
});

const settle = () => new Promise((resolve) => setTimeout(resolve, 0));
const file = (name: string) => new File(['x'], name);
const start = () => {
  const engine = fakeEngine((one, overrides) => truthReading(one, truth, overrides));
  return { engine, session: createSession(engine) };
};
const stages = (session: ReturnType<typeof createSession>) => session.store.getState().clips.map((clip) => clip.stage.kind);

describe('the queue', () => {
  it('measures three clips one after another in the order of opening, and shows the first', async () => {
    const { engine, session } = start();
    session.open([file('a.mp4'), file('b.mp4'), file('c.mp4')]);
    expect(stages(session)).toEqual(['working', 'waiting', 'waiting']);
    expect(session.store.getState().selectedId).toBe('clip-1');
    for (const name of ['a.mp4', 'b.mp4', 'c.mp4']) {
      expect(engine.jobs.at(-1)?.file.name).toBe(name);
      engine.jobs.at(-1)?.finish(success(analysis));
      await settle();
    }
    expect(engine.jobs).toHaveLength(3);
    expect(stages(session)).toEqual(['done', 'done', 'done']);
    expect(session.store.getState().selectedId).toBe('clip-1');
  });

  it('one clip that cannot be measured does not stop the next', async () => {
    const { engine, session } = start();
    session.open([file('a.mp4'), file('b.mp4')]);
    engine.jobs[0]?.finish(failure({ kind: 'nobody-found' }));
    await settle();
    expect(stages(session)).toEqual(['failed', 'working']);
  });

  it('cancelling aborts the work at once, marks the clip cancelled and starts the next', async () => {
    const { engine, session } = start();
    session.open([file('a.mp4'), file('b.mp4')]);
    session.cancel('clip-1');
    expect(engine.jobs[0]?.signal.aborted).toBe(true);
    expect(session.store.getState().clips[0]?.stage).toEqual({ kind: 'failed', problem: { kind: 'cancelled' } });
    expect(engine.jobs[1]?.file.name).toBe('b.mp4');
    await settle();
    expect(stages(session)).toEqual(['failed', 'working']);
  });

  it('a late report of a cancelled job changes nothing', () => {
    const { engine, session } = start();
    session.open([file('a.mp4')]);
    session.cancel('clip-1');
    engine.jobs[0]?.report({ stage: 'measuring', fraction: 0.9, secondsLeft: 1 });
    expect(stages(session)).toEqual(['failed']);
  });

  it('a broken engine ends as a stalled analysis and is still reported', async () => {
    const broken = new TypeError('broken call');
    const { engine, session } = start();
    const unhandled = new Promise((resolve) => process.once('unhandledRejection', resolve));
    engine.analyse = () => Promise.reject(broken);
    session.open([file('a.mp4')]);
    expect(await unhandled).toBe(broken);
    expect(session.store.getState().clips[0]?.stage).toMatchObject({ kind: 'failed', problem: { kind: 'analysis-stalled' } });
  });

  it('every object URL is given back when its clip is put away', () => {
    const { session } = start();
    session.open([file('a.mp4'), file('b.mp4'), file('c.mp4')]);
    expect(urls.size).toBe(3);
    for (const { id } of session.store.getState().clips) session.remove(id);
    expect(urls.size).toBe(0);
    expect(session.store.getState().selectedId).toBeNull();
  });
});

describe('what the user states', () => {
  const done = async () => {
    const made = start();
    made.session.open([file('a.mp4')]);
    made.engine.jobs[0]?.finish(success(analysis));
    await settle();
    return made;
  };
  const reading = (session: ReturnType<typeof createSession>) => {
    const stage = session.store.getState().clips[0]?.stage;
    if (stage?.kind !== 'done') throw new Error('not measured');
    return stage.reading;
  };

  it('is read at once without the model, and undo and redo go through it', async () => {
    const { engine, session } = await done();
    session.state('clip-1', { lead: 'right' });
    expect(reading(session).lead).toEqual({ value: 'right', source: 'user', confidence: 1 });
    session.undo('clip-1');
    expect(reading(session).lead).toMatchObject({ value: 'left', source: 'detected' });
    session.redo('clip-1');
    expect(reading(session).lead.value).toBe('right');
    expect(engine.jobs).toHaveLength(1);
  });

  it('stays when the clip is measured again', async () => {
    const { engine, session } = await done();
    session.state('clip-1', { start: 'half-kneeling', moments: { plant: 1.2 } });
    session.rerun('clip-1', { trim: { fromS: 0.2, toS: 1.6 } });
    expect(engine.jobs[1]?.request.trim).toEqual({ fromS: 0.2, toS: 1.6 });
    engine.jobs[1]?.finish(success(analysis));
    await settle();
    expect(engine.readings.at(-1)).toEqual({ start: 'half-kneeling', moments: { plant: 1.2 } });
  });

  it('a measured clip opens at the moment of its leading cue', async () => {
    const { session } = await done();
    // The truth of this clip leans 12° at launch under the band of 35 to 55° that truth-reading uses: its only large departure.
    expect(reading(session).cues[0]?.measure).toBe('launch.trunkLean');
    expect(session.store.getState()).toMatchObject({ moment: 'launch', measure: 'launch.trunkLean' });
    expect(session.playhead.now().t).toBeCloseTo(truth.events.launch.s, 9);
  });
});
