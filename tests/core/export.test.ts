import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { AthleteLog } from '../../src/athletelog/index.ts';
import { csv, fileName, readBackup, repsCsv, trackCsv, writeBackup } from '../../src/export/index.ts';
import { LANDMARK_COUNT, LANDMARK_INDEX } from '../../src/pose/landmarks.ts';
import { readCsv } from '../support/read-csv.ts';

const frozen = readFileSync(new URL('../../fixtures/backups/v1.json', import.meta.url), 'utf8');

describe('CSV', () => {
  test('starts with a byte-order mark, ends every line with CRLF and quotes only where it must', () => {
    expect(csv(['name', 'knee (deg)'], [['Kim', 61.5], ['Lee, "the kick"', null]])).toBe('\uFEFFname,knee (deg)\r\nKim,61.5\r\n"Lee, ""the kick""",\r\n');
  });

  test.each(['=1+1', '+1', '-1', '@now', '\tx', '\rx', '＝1', '  =1', '\n=1'])('the text %j is not run as a formula', (text) => {
    expect(readCsv(csv(['note'], [[text]]))[1]).toEqual([`'${text}`]);
  });

  test('numbers are left alone: −12.5 stays a number, and the continental style has semicolons and decimal commas', () => {
    expect(csv(['a', 'b'], [[-12.5, 1e-7]])).toBe('\uFEFFa,b\r\n-12.5,1e-7\r\n');
    expect(csv(['a', 'b'], [[-12.5, 'x;y']], 'continental')).toBe('\uFEFFa;b\r\n-12,5;"x;y"\r\n');
  });

  test('a row of another width and a number that is none are refused', () => {
    expect(() => csv(['a'], [[1, 2]])).toThrow(RangeError);
    expect(() => csv(['a'], [[Number.NaN]])).toThrow(RangeError);
  });

  test('the reps of the frozen backup become rows with the unit in the heading, interval ends, and the reason where nothing was measured', () => {
    const backup = readBackup(frozen, 'v1.json');
    if (!backup.ok) throw new Error('the frozen backup is unreadable');
    const [header, ...rows] = readCsv(repsCsv(backup.value.log, {}));
    const cell = (row: number, heading: string): string | undefined => rows[row]![header!.indexOf(heading)];
    expect(rows.length).toBe(3);
    expect(header).toEqual(expect.arrayContaining(['launch.hipSpeed (m/s)', 'launch.hipSpeed (m/s) 95% from', 'launch.hipSpeed (leg lengths/s)', 'steps.firstLeg (side)', 'passe.knee not measured']));
    expect(header!.every((heading) => heading !== '')).toBe(true);
    expect([cell(0, 'Athlete'), cell(0, 'Rep'), cell(0, 'Start'), cell(0, 'launch.hipSpeed (m/s)'), cell(0, 'steps.firstLeg (side)')]).toEqual(['Mira', '1', 'Two-step run', '4.1', 'left']);
    expect([cell(1, 'launch.hipSpeed (m/s)'), cell(1, 'launch.hipSpeed (leg lengths/s)'), cell(1, 'passe.knee not measured')]).toEqual(['', '5.9', 'too-blurred']);
    expect(cell(2, 'Note')).toBe('\'=cmd');
  });

  test('a log without reps is a heading without rows', () => {
    const empty: AthleteLog = { athletes: [], sessions: [], reps: [] };
    expect(readCsv(repsCsv(empty, {})).length).toBe(1);
  });

  test('a track has one row a frame; a gap is empty cells', () => {
    const xy = new Float32Array(2 * LANDMARK_COUNT * 2).fill(Number.NaN);
    xy[LANDMARK_INDEX.leftKnee * 2] = 100.5;
    xy[LANDMARK_INDEX.leftKnee * 2 + 1] = 200.25;
    const text = trackCsv({
      times: Float64Array.of(0, 1 / 30), widthPx: 640, heightPx: 360, xy, score: new Float32Array(2 * LANDMARK_COUNT),
      sd: new Float32Array(2 * LANDMARK_COUNT).fill(Number.NaN), model: 'm', backend: 'b',
    });
    const [header, first, second] = readCsv(text);
    expect(header!.length).toBe(1 + 4 * LANDMARK_COUNT);
    const at = header!.indexOf('leftKnee x (px)');
    expect(first!.slice(at, at + 4)).toEqual(['100.5', '200.25', '0', '']);
    expect(second![0]).toBe(String(1 / 30));
    expect(second![at]).toBe('');
  });
});

describe('file names', () => {
  test('accents, spaces and signs go; nothing left becomes the product\'s name; device names are avoided', () => {
    expect(fileName(['Zoë Müller', 'Hop from passé', '2026-03-02'], 'csv')).toBe('zoe-muller-hop-from-passe-2026-03-02.csv');
    expect(fileName(['../..', ''], 'json')).toBe('lungeline.json');
    expect(fileName(['CON'], 'csv')).toBe('lungeline-con.csv');
    expect(fileName(['x'.repeat(300)], 'csv').length).toBe(104);
  });
});

describe('backup', () => {
  test('the frozen version 1 backup opens with all its records and is written again byte for byte (F12)', () => {
    const backup = readBackup(frozen, 'v1.json');
    if (!backup.ok) throw new Error('the frozen backup is unreadable');
    const { log, profiles, stopRules, ladder } = backup.value;
    expect([log.athletes.length, log.sessions.length, log.reps.length, profiles.length]).toEqual([2, 2, 3, 1]);
    expect([stopRules?.drillTries, ladder?.order.length]).toEqual([3, 6]);
    expect(writeBackup(backup.value)).toBe(frozen);
  });

  test('a newer version is refused with its number, an empty and a foreign file by name', () => {
    expect(readBackup(frozen.replace(/"version": 1\n\}\n$/, '"version": 2\n}\n'), 'b.json')).toEqual({ ok: false, problem: { kind: 'file-too-new', version: 2 } });
    expect(readBackup(' \n', 'b.json')).toEqual({ ok: false, problem: { kind: 'empty-file', fileName: 'b.json' } });
    for (const foreign of ['{}', '[]', 'null', '42', '"lungeline-backup"', '{"format":"lungeline-backup"}', '{"format":"another","version":1}', '<html>']) {
      expect(readBackup(foreign, 'b.json')).toEqual({ ok: false, problem: { kind: 'unreadable-file', fileName: 'b.json' } });
    }
  });

  test('a byte-order mark in front, as some editors add, does not hurt', () => {
    expect(readBackup(`\uFEFF${frozen}`, 'b.json').ok).toBe(true);
  });
});
