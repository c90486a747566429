import { describe, expect, it } from 'vitest';
import type { Crop } from '../../workers/pose/crop.ts';
import type { Picture } from '../../workers/pose/picture.ts';
import { sampleCrop } from '../../workers/pose/sample-crop.ts';

/** An RGBA picture whose red is 2x, green 2y and blue 40 at the centre of pixel (x, y). */
function ramp(width: number, height: number): Picture {
  const bytes = new Uint8Array(width * height * 4);
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) bytes.set([2 * x, 2 * y, 40, 255], (y * width + x) * 4);
  }
  return {
    format: 'RGBA', codedWidth: width, codedHeight: height, bytes, layout: [{ offset: 0, stride: width * 4 }],
    matrix: 'bt709', range: 'full', rotationDeg: 0, widthPx: width, heightPx: height,
  };
}

function solid(format: 'I420' | 'NV12', y: number, u: number, v: number, matrix: 'bt709' | 'bt601', range: 'limited' | 'full'): Picture {
  const width = 16;
  const luma = width * width;
  const quarter = luma / 4;
  const bytes = new Uint8Array(luma * 1.5).fill(y, 0, luma);
  if (format === 'I420') bytes.fill(u, luma, luma + quarter).fill(v, luma + quarter);
  else for (let i = 0; i < quarter; i += 1) bytes.set([u, v], luma + 2 * i);
  const layout = format === 'I420'
    ? [{ offset: 0, stride: 16 }, { offset: luma, stride: 8 }, { offset: luma + quarter, stride: 8 }]
    : [{ offset: 0, stride: 16 }, { offset: luma, stride: 16 }];
  return { format, codedWidth: width, codedHeight: width, bytes, layout, matrix, range, rotationDeg: 0, widthPx: width, heightPx: width };
}

const middle: Crop = { centreX: 8, centreY: 8, sidePx: 8, rotationRad: 0 };

describe('sample crop', () => {
  it('blue first or red first: the same colours', () => {
    const picture = ramp(100, 100);
    const turned = picture.bytes.slice();
    for (let at = 0; at < turned.length; at += 4) turned.set([picture.bytes[at + 2] as number, picture.bytes[at + 1] as number, picture.bytes[at] as number], at);
    const crop: Crop = { centreX: 48, centreY: 41, sidePx: 60, rotationRad: 0.4 };
    expect([...sampleCrop({ ...picture, format: 'BGRA', bytes: turned }, crop, { size: 32 })]).toEqual([...sampleCrop(picture, crop, { size: 32 })]);
  });

  it('a ramp is sampled at the exact sub-pixel place', () => {
    const out = sampleCrop(ramp(100, 100), { centreX: 50, centreY: 40, sidePx: 32, rotationRad: 0 }, { size: 64 });
    // Result pixel (10, 20) lies at x = 34 + 10.5 / 2, y = 24 + 20.5 / 2; pixel centres at .5.
    expect((out[(20 * 64 + 10) * 3] as number) * 255).toBeCloseTo(2 * (34 + 5.25 - 0.5), 3);
    expect((out[(20 * 64 + 10) * 3 + 1] as number) * 255).toBeCloseTo(2 * (24 + 10.25 - 0.5), 3);
    expect((out[(20 * 64 + 10) * 3 + 2] as number) * 255).toBeCloseTo(40, 3);
  });

  it('shrinking by 4 averages and stays in place: the ramp keeps its values within the rounding of two halvings', () => {
    const out = sampleCrop(ramp(120, 120), { centreX: 60, centreY: 60, sidePx: 100, rotationRad: 0 }, { size: 25 });
    for (const i of [3, 12, 21]) {
      expect(Math.abs((out[(12 * 25 + i) * 3] as number) * 255 - 2 * (10 + (i + 0.5) * 4 - 0.5))).toBeLessThan(1.01);
    }
  });

  it('shrinking a checkerboard of single pixels by 2 gives its mean, not a pattern', () => {
    const picture = ramp(64, 64);
    const bytes = picture.bytes;
    for (let y = 0; y < 64; y += 1) for (let x = 0; x < 64; x += 1) bytes.fill((x + y) % 2 === 0 ? 255 : 0, (y * 64 + x) * 4, (y * 64 + x) * 4 + 4);
    const out = sampleCrop(picture, { centreX: 32, centreY: 32, sidePx: 40, rotationRad: 0.3 }, { size: 20 });
    for (const value of out) expect(Math.abs(value - 0.5)).toBeLessThan(0.01);
  });

  it('black lies outside the picture', () => {
    const out = sampleCrop(ramp(100, 100), { centreX: 0, centreY: 50, sidePx: 64, rotationRad: 0 }, { size: 64 });
    expect(out[(32 * 64 + 31) * 3 + 2]).toBe(0);
    expect((out[(32 * 64 + 32) * 3 + 2] as number) * 255).toBeCloseTo(40, 3);
  });

  it('mirrored flips left and right', () => {
    const crop = { centreX: 50, centreY: 40, sidePx: 32, rotationRad: 0.4 };
    const plain = sampleCrop(ramp(100, 100), crop, { size: 32 });
    const flipped = sampleCrop(ramp(100, 100), crop, { size: 32, mirrored: true });
    for (const [row, column] of [[0, 3], [17, 30]] as const) {
      expect(flipped[(row * 32 + column) * 3]).toBeCloseTo(plain[(row * 32 + 31 - column) * 3] as number, 5);
    }
  });

  // ITU-R BT.709 and BT.601 colour bars, 100 %: limited-range codes of pure red as tabulated in the recommendations.
  it.each([
    ['bt709', 'limited', 63, 102, 240], ['bt601', 'limited', 81, 90, 240], ['bt601', 'full', 76, 85, 255],
  ] as const)('pure red in %s, %s range reads 1, 0, 0 within one code', (matrix, range, y, u, v) => {
    for (const format of ['I420', 'NV12'] as const) {
      const out = sampleCrop(solid(format, y, u, v, matrix, range), middle, { size: 4 });
      expect(out[0]).toBeGreaterThan(0.985);
      expect(out[1]).toBeLessThan(0.015);
      expect(out[2]).toBeLessThan(0.015);
    }
  });

  it('a picture turned by 90, 180, 270° keeps its corners where a viewer sees them', () => {
    // Coded corner values of the ramp: top-left (0,0), top-right (2·59,0), bottom-left (0,2·39).
    const coded = ramp(60, 40);
    const corner = (rotationDeg: 90 | 180 | 270, x: number, y: number): [number, number] => {
      const [w, h] = rotationDeg === 180 ? [60, 40] : [40, 60];
      const out = sampleCrop({ ...coded, rotationDeg, widthPx: w, heightPx: h }, { centreX: x, centreY: y, sidePx: 1, rotationRad: 0 }, { size: 1 });
      return [Math.round((out[0] as number) * 255), Math.round((out[1] as number) * 255)];
    };
    // Turned clockwise by 90°, the coded top-left corner is shown top right.
    expect(corner(90, 39.5, 0.5)).toEqual([0, 0]);
    expect(corner(90, 0.5, 0.5)).toEqual([0, 78]);
    expect(corner(180, 59.5, 39.5)).toEqual([0, 0]);
    expect(corner(270, 0.5, 59.5)).toEqual([0, 0]);
    expect(corner(270, 0.5, 0.5)).toEqual([118, 0]);
  });

  it('a mirrored picture is turned over left to right after its turn', () => {
    const coded = ramp(60, 40);
    const corner = (rotationDeg: 0 | 90, x: number, y: number): [number, number] => {
      const [w, h] = rotationDeg === 0 ? [60, 40] : [40, 60];
      const out = sampleCrop({ ...coded, rotationDeg, isMirrored: true, widthPx: w, heightPx: h }, { centreX: x, centreY: y, sidePx: 1, rotationRad: 0 }, { size: 1 });
      return [Math.round((out[0] as number) * 255), Math.round((out[1] as number) * 255)];
    };
    expect(corner(0, 59.5, 0.5)).toEqual([0, 0]);
    expect(corner(0, 0.5, 39.5)).toEqual([118, 78]);
    // The coded top-left corner, shown top right by the quarter turn, is shown top left after the mirror.
    expect(corner(90, 0.5, 0.5)).toEqual([0, 0]);
    expect(corner(90, 39.5, 0.5)).toEqual([0, 78]);
  });
});
