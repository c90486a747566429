import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { countChoices, measureRows, momentRows, overallCoverage, type Pair } from '../../tools/bench/accuracy-table.ts';
import type { Truth } from '../../tools/bench/truth.ts';
import { resultsSchema, type MeasuredRecord } from '../../tools/measure/results-schema.ts';

const truth: Truth = {
  fps: 60,
  start: 'sprint-lunge',
  lead: 'left',
  direction: 'left-to-right',
  heightM: 1.5,
  moments: { launch: 1, plant: 1.2 },
  measures: { 'passe.knee': { value: 60, unit: 'deg' }, 'plant.lungeRatio': { value: 1.2, unit: 'leg' } },
  groups: { start: 'sprint-lunge', yaw: 'side-on', fps: '60 fps', light: 'normal', body: 'a' },
};

function record(kneeOff: number, framesOff: number, half = 4): MeasuredRecord {
  const none = { found: false, why: 'moment-not-found' } as const;
  const value = 60 + kneeOff;
  return {
    clip: 'a.mp4', ok: true,
    engine: { version: '0', model: 'm', backend: 'wasm' },
    start: { id: 'sprint-lunge', source: 'detected', confidence: 1 },
    lead: { side: 'left', source: 'detected', confidence: 1 },
    direction: { value: 'left-to-right', source: 'detected', confidence: 1 },
    timeBase: { kind: 'known' }, legLengthPx: 200, part: { fromS: 0, toS: 2, proposed: true }, stoppedAtS: null,
    moments: { set: none, firstMove: none, passe: none, hands: none, plant: none, launch: { found: true, t: 1 + framesOff / 60, sd: 0.005, source: 'detected' } },
    steps: [],
    measures: {
      'passe.knee': { measured: true, value, unit: 'deg', ci95: [value - half, value + half], t: 1, frame: 60, source: 'detected' },
      'plant.lungeRatio': { measured: false, why: 'low-confidence' },
    },
    findings: [], cue: null, otherCues: [], quality: { athleteHeightPx: null, brightness: null, sharpness: null }, tookMs: 1,
  };
}

const pairs: Pair[] = [[3, 1], [-1, -2], [7, 0]].map(([knee = 0, frames = 0]) => ({ name: 'a', record: record(knee, frames), truth }));

describe('the accuracy table', () => {
  it('errors 3, −1, 7 give a mean absolute error of 11/3, a bias of 3, a largest of 7; two of three intervals of ± 4 hold the truth', () => {
    const row = measureRows(pairs).find(({ id }) => id === 'passe.knee');
    expect(row).toMatchObject({ measured: 3, of: 3, bias: 3, max: 7, halfWidth: 4 });
    expect(row?.mae).toBeCloseTo(11 / 3, 12);
    expect(row?.coverage).toBeCloseTo(2 / 3, 12);
    expect(overallCoverage(measureRows(pairs))).toEqual({ covered: 2, of: 3 });
  });
  it('a measure that is refused counts as not measured, never as an error', () => {
    expect(measureRows(pairs).find(({ id }) => id === 'plant.lungeRatio')).toMatchObject({ measured: 0, of: 3 });
  });
  it('moments are off by 1, −2 and 0 frames: median 1, largest 2, two within one frame; a missing one is not found', () => {
    const rows = momentRows(pairs);
    const launch = rows.find(({ id }) => id === 'launch');
    expect(launch).toMatchObject({ found: 3, of: 3, withinOne: 2 });
    expect(launch?.medianAbs).toBeCloseTo(1, 9);
    expect(launch?.max).toBeCloseTo(2, 9);
    expect(rows.find(({ id }) => id === 'plant')).toMatchObject({ found: 0, of: 3 });
  });
  it('a clip that failed counts as wrong in every choice', () => {
    const failed: Pair = { name: 'b', record: { clip: 'b.mp4', ok: false, problem: { kind: 'nobody-found' } }, truth };
    expect(countChoices([...pairs, failed])).toEqual({ clips: 4, failed: 1, start: 3, lead: 3, direction: 3 });
  });
});

describe('the results file', () => {
  const results = { format: 'lungeline-results', version: 1, records: [record(0, 0), { clip: 'x', ok: false, problem: { kind: 'empty-file', fileName: 'x' } }] };
  it('passes its schema, and fails it with an unknown start, a missing moment, or a measure without its interval', () => {
    expect(resultsSchema.safeParse(results).success).toBe(true);
    const broken = (change: (one: Record<string, Record<string, unknown>>) => void): boolean => {
      const copy = structuredClone(results) as unknown as { records: Record<string, Record<string, unknown>>[] };
      change(copy.records[0] ?? {});
      return resultsSchema.safeParse(copy).success;
    };
    expect(broken((one) => { one['start'] = { ...one['start'], id: 'running' }; })).toBe(false);
    expect(broken((one) => { one['moments'] = { ...one['moments'], hands: undefined }; })).toBe(false);
    expect(broken((one) => { one['measures'] = { 'passe.knee': { measured: true, value: 1, unit: 'deg' } }; })).toBe(false);
  });
  it('is described field by field in docs/results-format.md', () => {
    const page = readFileSync(new URL('../../docs/results-format.md', import.meta.url), 'utf8');
    for (const field of Object.keys(record(0, 0))) expect(page, field).toContain(`\`${field}\``);
  });
});
