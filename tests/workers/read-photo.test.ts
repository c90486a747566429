import { describe, expect, it } from 'vitest';
import { clipShape, isPhoto } from '../../workers/read-photo.ts';

describe('a photo as a clip from the same place would show it', () => {
  it.each([
    // 4 : 3 of 12 million pixels: a clip shows 9/16 of 4032 rows = 2268, in the middle, at 1920 / 4032 of the size.
    [4032, 3024, { x: 0, y: 378, width: 4032, height: 2268, scale: 1920 / 4032 }],
    [3024, 4032, { x: 378, y: 0, width: 2268, height: 4032, scale: 1920 / 4032 }],
    [1920, 1080, { x: 0, y: 0, width: 1920, height: 1080, scale: 1 }],
    // Wider than a clip: its sides go.
    [2400, 1080, { x: 240, y: 0, width: 1920, height: 1080, scale: 1 }],
    // Small photos are not blown up.
    [1280, 720, { x: 0, y: 0, width: 1280, height: 720, scale: 1 }],
  ] as const)('%d × %d', (width, height, shape) => {
    const found = clipShape(width, height);
    for (const key of ['x', 'y', 'width', 'height', 'scale'] as const) expect(found[key], key).toBeCloseTo(shape[key], 9);
  });
  it('a photo is told by its type, or by its name where it has none', () => {
    expect([{ type: 'image/heic', name: 'a' }, { type: '', name: 'A.HEIC' }, { type: '', name: 'b.jpeg' }].map(isPhoto)).toEqual([true, true, true]);
    expect([{ type: 'video/mp4', name: 'a.jpg' }, { type: '', name: 'a.mov' }].map(isPhoto)).toEqual([false, false]);
  });
});
