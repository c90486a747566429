// @vitest-environment jsdom
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { act } from 'react';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { loadInventedClub } from '../../src/demo/load-invented-club.ts';
import { createRecords, type Records } from '../../src/state/records.ts';
import { createSession } from '../../src/state/session.ts';
import { toleranceOf } from '../../src/tolerances/index.ts';
import { fakeEngine } from '../support/fake-engine.ts';
import { memoryDevice } from '../support/memory-storage.ts';
import { readTruthFile } from '../support/read-truth-file.ts';
import { show, type Shown } from '../support/show.tsx';
import { truthReading } from '../support/truth-reading.ts';

const truth = readTruthFile('sprint-lunge-good');
let records: Records;
let shown: Shown;

const until = async (isThere: () => boolean) => {
  for (let i = 0; i < 200 && !isThere(); i += 1) await shown.after(() => undefined);
  if (!isThere()) throw new Error(`not there: ${shown.page.textContent.slice(0, 300)}`);
};
const open = async (path: string) => {
  await shown.after(() => {
    window.location.hash = path;
    window.dispatchEvent(new HashChangeEvent('hashchange'));
  });
  await until(() => shown.page.querySelector('main')?.textContent !== '');
};
const tape = (label: string) => shown.page.querySelector(`section[aria-label="${label}"]`)?.textContent ?? '';

beforeAll(async () => {
  records = createRecords({
    storage: memoryDevice().tab(),
    now: () => new Date('2026-11-25T10:00:00'),
    newId: () => crypto.randomUUID(),
    askToPersist: () => Promise.resolve('cannot-say'),
    inventedClub: (today) => loadInventedClub(today, (path) => readFile(join(import.meta.dirname, '../../public', path), 'utf8')),
  });
  await records.open();
  shown = await show(createSession(fakeEngine((one, overrides) => truthReading(one, truth, overrides))), records);
});
afterAll(async () => { await shown.unmount(); });

describe('the analysis screens on an empty device', () => {
  it.each(['/compare', '/compare/side', '/marks', '/stop', '/ladder', '/trends'])('%s says what to do and leads there', async (path) => {
    await open(path);
    const main = shown.page.querySelector('main')!;
    expect(main.querySelector('a[href]')).not.toBeNull();
    expect(main.textContent).toMatch(/add|save|open/i);
    expect(await shown.violations()).toEqual([]);
  });
});

describe('the analysis screens with the invented club', () => {
  beforeAll(async () => {
    await act(async () => {
      const loaded = await records.loadDemo();
      expect(loaded.ok).toBe(true);
      await records.remember({ athleteId: 'invented-mika' });
    });
  });

  it.each([
    ['/compare', 'Is it faster?'], ['/stop', 'Advice'], ['/ladder', 'Ladder'],
  ])('%s is filled and breaks no accessibility rule', async (path, label) => {
    await open(path);
    await until(() => tape(label) !== '');
    expect(tape(label).length).toBeGreaterThan(20);
    expect(await shown.violations()).toEqual([]);
  });

  it.each([['/marks', 'Marks'], ['/trends', 'Trend'], ['/tolerances', 'What would change']])('%s is filled', async (path, label) => {
    await open(path);
    await until(() => tape(label) !== '');
    expect(tape(label).length).toBeGreaterThan(20);
  });

  it('two reps with stored tracks stand side by side; a step moves both', async () => {
    await open('/compare/side');
    await until(() => tape('What differs') !== '');
    const frames = () => [...shown.page.querySelectorAll('figcaption')].map((caption) => caption.textContent);
    const before = frames();
    expect(before).toHaveLength(2);
    await shown.click(shown.control('One frame on, both'));
    expect(frames().some((text, i) => text !== before[i])).toBe(true);
    expect(frames().every((text) => /frame \d+ of \d+$/.test(text))).toBe(true);
    expect(await shown.violations()).toEqual([]);
  });

  it('a floor that the coach writes down is kept with the session', async () => {
    await open('/marks');
    await until(() => tape('Marks') !== '');
    await shown.type(shown.control('Edge of the mat at'), '15.5');
    const kept = () => records.store.getState().log.sessions.flatMap((session) => session.present).filter((each) => each.floorPlan?.edgeAtM === 15.5);
    await until(() => kept().length === 1);
    expect(kept()[0]?.athleteId).toBe('invented-mika');
  });

  it('a tick of the coach is kept with the athlete and its day', async () => {
    await open('/ladder');
    await until(() => tape('Ladder') !== '');
    await shown.click(shown.control('Tip from passé: ticked off by the coach'));
    const ticks = () => records.store.getState().log.athletes.find((athlete) => athlete.id === 'invented-mika')?.ticks ?? [];
    await until(() => ticks().some((tick) => tick.start === 'tip-from-passe'));
    expect(ticks().find((tick) => tick.start === 'tip-from-passe')?.date).toBe('2026-11-25');
  });

  it('an edited band holds for every athlete once it is saved', async () => {
    await open('/tolerances');
    await until(() => tape('What would change') !== '');
    const find = (name: string) => [...shown.page.querySelectorAll('button')].find((button) => button.textContent === name)!;
    await shown.choose([...shown.page.querySelectorAll('label')].find((label) => label.textContent === 'Start')!.control!, 'two-step-run');
    await shown.click(find('Change Passé knee'));
    const knee = shown.page.querySelector('section[aria-label="Passé knee"]')!;
    const to = [...knee.querySelectorAll('label')].find((label) => label.textContent === 'to')!.control!;
    await shown.type(to, '72');
    await shown.click(find('Save as version 1'));
    await until(() => records.store.getState().profileInUse !== null);
    expect(toleranceOf(records.profileFor('invented-mika'), 'two-step-run', 'passe.knee')?.band).toEqual([45, 72]);
  });

  it('rules of the coach are kept', async () => {
    await open('/stop');
    await until(() => tape('Advice') !== '');
    await shown.type(shown.control('Tries at most'), '4');
    await until(() => records.store.getState().stopRules.drillTries === 4);
  });
});

describe('reps as a table', () => {
  it('the backup screen hands over one row a rep under one heading row, with the decimal sign asked for', async () => {
    await open('/backup');
    const files: Blob[] = [];
    // jsdom has no object URLs: here they only catch what would be saved.
    Object.assign(URL, { createObjectURL: (file: Blob) => (files.push(file), '#caught'), revokeObjectURL: () => undefined });
    try {
      for (const button of shown.page.querySelectorAll('section[aria-label="Reps as a table"] button')) await shown.click(button);
    } finally {
      Reflect.deleteProperty(URL, 'createObjectURL');
      Reflect.deleteProperty(URL, 'revokeObjectURL');
    }
    const [point, comma] = await Promise.all(files.map((file) => file.text()));
    const reps = records.store.getState().log.reps.length;
    expect(reps).toBeGreaterThan(100);
    expect(point?.trimEnd().split('\r\n')).toHaveLength(reps + 1);
    expect(point).toMatch(/,\d+\.\d+,/);
    expect(comma?.trimEnd().split('\r\n')).toHaveLength(reps + 1);
    expect(comma).toMatch(/;\d+,\d+;/);
  });
});
