import { readFileSync } from 'node:fs';

/** Rows of a table in fixtures/checkdata as records of text, keyed by its header. */
export function checkTable(name: string): readonly Readonly<Record<string, string>>[] {
  const text = readFileSync(new URL(`../../fixtures/checkdata/${name}.csv`, import.meta.url), 'utf8');
  const [header = '', ...lines] = text.trim().split(/\r?\n/);
  const keys = header.split(',');
  return lines.map((line) => Object.fromEntries(line.split(',').map((cell, i) => [keys[i] ?? '', cell])));
}

/** One column of such a table as numbers; throws when a cell is not a number. */
export function checkColumn(name: string, column: string): Float64Array {
  return Float64Array.from(checkTable(name), (row) => {
    const value = Number(row[column] ?? 'missing');
    if (!Number.isFinite(value)) throw new RangeError(`no number in ${name}.${column}`);
    return value;
  });
}

/** A repeatable source of numbers: uniform in (0, 1) and standard normal, from a 32-bit seed. */
export function seededRandom(seed: number): { readonly uniform: () => number; readonly normal: () => number } {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return (((t ^ (t >>> 14)) >>> 0) + 0.5) / 4294967296;
  };
  const normal = (): number => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
  return { uniform, normal };
}
