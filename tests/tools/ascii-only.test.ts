import { runInThisContext } from 'node:vm';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { escaped } from '../../tools/build/ascii-only.ts';

/** What a script's expression is worth. */
const worth = (expression: string): unknown => runInThisContext(`(${expression})`);

it('any text, quoted, is worth the same text and holds no character beyond ASCII', () => {
  fc.assert(fc.property(fc.string({ unit: 'binary' }), (text) => {
    const script = escaped(JSON.stringify(text));
    expect(script).toMatch(/^[\0-\x7f]*$/);
    expect(worth(script)).toBe(text);
  }), { numRuns: 40 });
});

it.each([
  ['`45° of ${1 + 1} “marks”`', '45° of 2 “marks”'],
  ['"\\é and \\\\é"', 'é and \\é'],
  ['/^μ-[α-ω]+\\°$/.test("μ-λαω°")', true],
  ['/^\\p{L}😀$/u.test("é😀")', true],
  ['({ μ: 3 }).μ', 3],
])('%s is worth the same', (script, expected) => {
  expect(worth(escaped(script))).toBe(expected);
});
