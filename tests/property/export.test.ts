import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { logFaults, logSchema, removeAthlete } from '../../src/athletelog/index.ts';
import { csv, readBackup, repsCsv, writeBackup } from '../../src/export/index.ts';
import { randomBackup, randomLog } from '../support/random-log.ts';
import { readCsv } from '../support/read-csv.ts';

describe('F13: backup round trip', () => {
  test('500 random logs: written, read and written again are equal byte for byte, and nothing is lost', () => {
    fc.assert(fc.property(randomBackup, (backup) => {
      const text = writeBackup(backup);
      const read = readBackup(text, 'b.json');
      if (!read.ok) throw new Error('own backup refused');
      expect(writeBackup(read.value)).toBe(text);
      expect(read.value.log.reps.length).toBe(backup.log.reps.length);
      // JSON knows no −0; everything else must come back as it was.
      const plain = (value: unknown): unknown => JSON.parse(JSON.stringify(value));
      const byId = (records: readonly { readonly id: string }[]) => records.toSorted((a, b) => (a.id < b.id ? -1 : 1));
      expect(plain(byId(read.value.log.athletes))).toEqual(plain(byId(backup.log.athletes)));
      expect(plain(byId(read.value.log.reps))).toEqual(plain(byId(backup.log.reps)));
    }), { numRuns: 500 });
  });

  test('a backup with the records in another order is the same file', () => {
    fc.assert(fc.property(randomBackup, (backup) => {
      const { log } = backup;
      const turned = { ...backup, log: { athletes: log.athletes.toReversed(), sessions: log.sessions.toReversed(), reps: log.reps.toReversed() } };
      expect(writeBackup(turned)).toBe(writeBackup(backup));
    }), { numRuns: 50 });
  });

  test('a cut-off or scratched file is refused or opens as a consistent log; it never throws', () => {
    fc.assert(fc.property(randomBackup, fc.nat(), fc.nat(), fc.string({ maxLength: 3 }), (backup, at, length, patch) => {
      const text = writeBackup(backup);
      const cut = text.slice(0, at % (text.length - 2));
      expect(readBackup(cut, 'b.json').ok).toBe(false);
      const start = at % text.length;
      const read = readBackup(text.slice(0, start) + patch + text.slice(start + (length % 20)), 'b.json');
      if (read.ok) {
        expect(logSchema.safeParse(read.value.log).success).toBe(true);
        expect(logFaults(read.value.log)).toEqual([]);
      } else {
        expect(['unreadable-file', 'file-too-new']).toContain(read.problem.kind);
      }
    }), { numRuns: 200 });
  });

  test('random logs hold together, and still do after an athlete is deleted', () => {
    fc.assert(fc.property(randomLog, (log) => {
      expect(logFaults(log)).toEqual([]);
      const gone = log.athletes[0]!.id;
      const left = removeAthlete(log, gone);
      expect(logFaults(left)).toEqual([]);
      expect(JSON.stringify(left)).not.toContain(gone);
    }), { numRuns: 200 });
  });
});

describe('CSV of random logs', () => {
  test('parses back to rectangular rows, one a rep, no cell starts a formula, and numbers come back equal (F24)', () => {
    fc.assert(fc.property(randomLog, (log) => {
      const [header, ...rows] = readCsv(repsCsv(log, {}));
      expect(rows.length).toBe(log.reps.length);
      for (const row of rows) {
        expect(row.length).toBe(header!.length);
        for (const cell of row) {
          if (cell === '' || !Number.isNaN(Number(cell))) continue;
          expect(cell).not.toMatch(/^[=+\-@\t\r]/);
        }
      }
      const values = log.reps.flatMap((rep) => Object.values(rep.measures).flatMap((m) => (m.measured ? [m.value] : [])));
      const cells = new Set(rows.flat().filter((cell) => cell !== '').map((cell) => Number(cell) + 0));
      for (const value of values) expect(cells.has(value + 0)).toBe(true);
    }), { numRuns: 200 });
  });

  test('any text comes back as it went in, but for one apostrophe where it was escaped', () => {
    fc.assert(fc.property(fc.array(fc.string({ unit: 'binary', maxLength: 20 }), { minLength: 1, maxLength: 5 }), fc.constantFrom('international' as const, 'continental' as const), (texts, style) => {
      const [, row] = readCsv(csv(texts.map((_, i) => `c${i}`), [texts], style), style === 'international' ? ',' : ';');
      row!.forEach((cell, i) => { expect([texts[i], `'${texts[i]!}`]).toContain(cell); });
    }), { numRuns: 300 });
  });
});
