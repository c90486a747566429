import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readLensMm } from '../../workers/read-lens.ts';

// Boxes written here by the layout of ISO/IEC 14496-12 (size, name, content) and of QuickTime metadata (keys, ilst, data).
const u32 = (value: number): number[] => [value >>> 24, (value >>> 16) & 255, (value >>> 8) & 255, value & 255];
const ascii = (text: string): number[] => Array.from(text, (letter) => letter.charCodeAt(0));
const box = (name: string | number, ...content: readonly (readonly number[])[]): number[] => {
  const inside = content.flat();
  return [...u32(inside.length + 8), ...(typeof name === 'number' ? u32(name) : ascii(name)), ...inside];
};
const FOCAL = 'com.apple.quicktime.camera.focal_length.35mm_equivalent';
const key = (name: string): number[] => [...u32(name.length + 8), ...ascii('mdta'), ...ascii(name)];
const item = (place: number, type: number, value: readonly number[]): number[] => box(place, box('data', u32(type), u32(0), value));
const meta = (type: number, value: readonly number[], flavour: 'quicktime' | 'mp4' = 'quicktime'): number[] => box(
  'meta', flavour === 'mp4' ? u32(0) : [],
  box('hdlr', u32(0), u32(0), ascii('mdta'), u32(0), u32(0), u32(0)),
  box('keys', u32(0), u32(2), key('com.apple.quicktime.camera.lens_model'), key(FOCAL)),
  box('ilst', item(1, 1, ascii('a lens of 4.2 mm')), item(2, type, value)),
);
const file = (index: readonly number[]): Blob => new Blob([new Uint8Array([...box('ftyp', ascii('qt  ')), ...box('mdat', new Array<number>(1000).fill(7)), ...index])]);
const inTrack = (...boxes: readonly number[][]): number[] => box('moov', box('mvhd', new Array<number>(100).fill(0)), box('trak', box('tkhd', new Array<number>(84).fill(0)), ...boxes));

describe('the lens that a clip states', () => {
  it.each([
    ['text "27"', 1, ascii('27'), 27],
    ['text "50.00mm"', 1, ascii('50.00mm'), 50],
    ['a signed integer of four bytes', 21, u32(26), 26],
    ['an unsigned integer of one byte', 22, [13], 13],
    ['a 32-bit float', 23, [0x41, 0xd4, 0, 0], 26.5],
  ] as const)('%s in the metadata of the video track', async (_, type, value, mm) => {
    expect(await readLensMm(file(inTrack(meta(type, value))))).toBe(mm);
  });
  it('stands for the whole clip, or in user data, with or without version and flags', async () => {
    expect(await readLensMm(file(box('moov', meta(1, ascii('24')))))).toBe(24);
    expect(await readLensMm(file(box('moov', box('udta', meta(1, ascii('24'), 'mp4')))))).toBe(24);
  });
  it('no lens: no metadata, another key, a slip of 0 or 20000 mm, a picture where a number should be', async () => {
    for (const index of [inTrack(), inTrack(meta(1, ascii('0'))), inTrack(meta(21, u32(20000))), inTrack(meta(13, [1, 2, 3, 4]))]) {
      expect(await readLensMm(file(index))).toBeNull();
    }
    expect(await readLensMm(new Blob([readFileSync(new URL('../../fixtures/formats/quick.mov', import.meta.url))]))).toBeNull();
    expect(await readLensMm(new Blob([readFileSync(new URL('../../fixtures/formats/open.webm', import.meta.url))]))).toBeNull();
  });
  it('bytes cut off or changed anywhere end in a number of 8 to 1000 or in null, never in a throw or a hang', async () => {
    const whole = [...box('ftyp', ascii('qt  ')), ...inTrack(meta(1, ascii('27')))];
    await fc.assert(fc.asyncProperty(fc.nat(whole.length - 1), fc.nat(255), fc.nat(whole.length), async (at, byte, length) => {
      const bytes = Uint8Array.from(whole);
      bytes[at] = byte;
      const mm = await readLensMm(new Blob([bytes.subarray(0, length)]));
      expect(mm === null || (mm >= 8 && mm <= 1000)).toBe(true);
    }), { numRuns: 500 });
  });
});
