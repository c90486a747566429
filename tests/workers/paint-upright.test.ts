import { describe, expect, it } from 'vitest';
import { paintUpright } from '../../workers/paint-upright.ts';
import type { Picture } from '../../workers/pose/picture.ts';

/** An RGBA picture whose red is 2x, green 2y and blue 40 at pixel (x, y) as stored. */
function ramp(width: number, height: number, rotationDeg: Picture['rotationDeg'] = 0, isMirrored = false): Picture {
  const bytes = new Uint8Array(width * height * 4);
  for (let y = 0; y < height; y += 1) for (let x = 0; x < width; x += 1) bytes.set([2 * x, 2 * y, 40, 255], (y * width + x) * 4);
  const isQuarter = rotationDeg === 90 || rotationDeg === 270;
  return {
    format: 'RGBA', codedWidth: width, codedHeight: height, bytes, layout: [{ offset: 0, stride: width * 4 }], matrix: 'bt709', range: 'full',
    rotationDeg, isMirrored, widthPx: isQuarter ? height : width, heightPx: isQuarter ? width : height,
  };
}

/** One luma and two chroma values over a whole picture of 16 × 16, or luma from a rule. */
function i420(luma: (x: number, y: number) => number, u: number, v: number, matrix: Picture['matrix'], range: Picture['range']): Picture {
  const bytes = new Uint8Array(384).fill(u, 256, 320).fill(v, 320);
  for (let i = 0; i < 256; i += 1) bytes[i] = luma(i % 16, Math.floor(i / 16));
  return {
    format: 'I420', codedWidth: 16, codedHeight: 16, bytes, layout: [{ offset: 0, stride: 16 }, { offset: 256, stride: 8 }, { offset: 320, stride: 8 }],
    matrix, range, rotationDeg: 0, widthPx: 16, heightPx: 16,
  };
}

const at = (painted: ReturnType<typeof paintUpright>, x: number, y: number): readonly number[] => {
  const from = (y * painted.widthPx + x) * 4;
  return [...painted.rgba.subarray(from, from + 4)];
};

describe('a picture painted upright', () => {
  it('at its own size every pixel is the stored one, opaque', () => {
    const picture = ramp(12, 8);
    const painted = paintUpright(picture, 100);
    expect([painted.widthPx, painted.heightPx]).toEqual([12, 8]);
    expect([...painted.rgba]).toEqual([...picture.bytes]);
  });

  it.each([
    // Shown (x, y) of the stored (3, 1) in 12 × 8, turned clockwise, by hand.
    [0, false, [12, 8], [3, 1]], [90, false, [8, 12], [6, 3]], [180, false, [12, 8], [8, 6]], [270, false, [8, 12], [1, 8]],
    [0, true, [12, 8], [8, 1]], [90, true, [8, 12], [1, 3]],
  ] as const)('turned %d°, mirrored %s: size and place', (rotationDeg, isMirrored, size, [x, y]) => {
    const painted = paintUpright(ramp(12, 8, rotationDeg, isMirrored), 100);
    expect([painted.widthPx, painted.heightPx]).toEqual(size);
    expect(at(painted, x, y)).toEqual([6, 2, 40, 255]);
  });

  it('shrunk to 2/3 and to 1/4 a ramp stays in place, within the rounding', () => {
    for (const [width, scale] of [[80, 1.5], [30, 4]] as const) {
      const painted = paintUpright(ramp(120, 60), width);
      expect([painted.widthPx, painted.heightPx]).toEqual([width, 60 / scale]);
      for (const x of [8, 15, 22]) {
        const [red = 0, green = 0] = at(painted, x, 7);
        expect(Math.abs(red - 2 * ((x + 0.5) * scale - 0.5))).toBeLessThanOrEqual(0.51);
        expect(Math.abs(green - 2 * (7.5 * scale - 0.5))).toBeLessThanOrEqual(0.51);
      }
    }
  });

  it('single black and white pixels in turn, shrunk by 4, give their mean, not a pattern', () => {
    const painted = paintUpright(i420((x, y) => ((x + y) % 2 === 0 ? 255 : 0), 128, 128, 'bt709', 'full'), 4);
    // Every other tent weight summed is half of all within 1 in 64.
    for (const x of [1, 2]) for (const value of at(painted, x, 1).slice(0, 3)) expect(Math.abs(value - 127.5)).toBeLessThan(4.5);
  });

  it.each([
    // Limited range white and black, and BT.709 red (ITU-R BT.709-6, 8 bits: Y 63, Cb 102, Cr 240), BT.601 red (ITU-R BT.601-7: 81, 90, 240).
    [235, 128, 128, 'bt709', [255, 255, 255]], [16, 128, 128, 'bt601', [0, 0, 0]],
    [63, 102, 240, 'bt709', [255, 0, 0]], [81, 90, 240, 'bt601', [255, 0, 0]],
  ] as const)('Y %d Cb %d Cr %d in %s is the colour of the standard within 2', (y, u, v, matrix, rgb) => {
    const painted = paintUpright(i420(() => y, u, v, matrix, 'limited'), 10);
    at(painted, 5, 5).slice(0, 3).forEach((value, i) => {
      expect(Math.abs(value - (rgb[i] ?? Number.NaN))).toBeLessThanOrEqual(2);
    });
  });
});
