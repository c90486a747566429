import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { kernelSampler, type CropSampler } from '../../workers/pose/kernel-sampler.ts';
import { loadKernels } from '../../workers/pose/network/load-kernels.ts';
import type { Picture } from '../../workers/pose/picture.ts';
import { sampleCrop } from '../../workers/pose/sample-crop.ts';

const build = (name: string): ArrayBuffer => Uint8Array.from(readFileSync(fileURLToPath(new URL(`../../workers/pose/network/kernels-${name}.wasm`, import.meta.url)))).buffer;

/** A picture of waves and edges in the decoder's layout, with rows longer than they need to be, of every third width not even alike in the two planes of colour. */
function waves(format: 'I420' | 'NV12', width: number, height: number, rotationDeg: Picture['rotationDeg'], isMirrored: boolean): Picture {
  const [halfWidth, halfHeight] = [(width + 1) >> 1, (height + 1) >> 1];
  const stride = width + 6;
  const chromaStride = (format === 'NV12' ? 2 * halfWidth : halfWidth) + 2;
  const luma = stride * height;
  const redStride = chromaStride + (width % 3 === 0 ? 4 : 0);
  const bytes = new Uint8Array(luma + (chromaStride + (format === 'NV12' ? 0 : redStride)) * halfHeight);
  const value = (x: number, y: number, k: number): number => 128 + 70 * Math.sin(x / 3 + k) * Math.cos(y / 4 - k) + ((x + 2 * y) % 11 === 0 ? 40 : 0);
  for (let y = 0; y < height; y += 1) for (let x = 0; x < width; x += 1) bytes[y * stride + x] = value(x, y, 0);
  for (let y = 0; y < halfHeight; y += 1) for (let x = 0; x < halfWidth; x += 1) {
    for (const k of [0, 1]) {
      const at = format === 'NV12' ? luma + y * chromaStride + 2 * x + k : luma + k * chromaStride * halfHeight + y * (k === 0 ? chromaStride : redStride) + x;
      bytes[at] = value(x, y, k + 1);
    }
  }
  const turned = rotationDeg % 180 !== 0;
  return {
    format, codedWidth: width, codedHeight: height, bytes, matrix: 'bt709', range: 'limited', rotationDeg, isMirrored,
    widthPx: turned ? height : width, heightPx: turned ? width : height,
    layout: [{ offset: 0, stride }, { offset: luma, stride: chromaStride }, ...(format === 'I420' ? [{ offset: luma + chromaStride * halfHeight, stride: redStride }] : [])],
  };
}

describe('sampling by kernels', () => {
  const samplers = new Map<number, CropSampler>();
  const sample: CropSampler = (picture, crop, mirrored) => samplerOf(256)(picture, crop, mirrored);
  const samplerOf = (size: number): CropSampler => samplers.get(size) ?? (() => { throw new RangeError('no sampler'); });
  beforeAll(async () => {
    const kernels = await loadKernels({ fused: build('fused'), plain: build('plain') });
    if (kernels === null) throw new Error('this Node has no SIMD');
    for (const size of [256, 320]) samplers.set(size, kernelSampler(kernels.start(), size));
  });

  it('gives what sampleCrop gives, to a fifth of a grey level, wherever the region lies and however large it is', () => {
    fc.assert(fc.property(
      fc.constantFrom<'I420' | 'NV12'>('I420', 'NV12'), fc.integer({ min: 64, max: 150 }), fc.integer({ min: 64, max: 150 }),
      fc.constantFrom<Picture['rotationDeg']>(0, 90, 180, 270), fc.boolean(), fc.boolean(),
      fc.double({ min: -0.2, max: 1.2, noNaN: true }), fc.double({ min: -0.2, max: 1.2, noNaN: true }), fc.double({ min: 10, max: 3000, noNaN: true }), fc.double({ min: -3.1, max: 3.1, noNaN: true }), fc.constantFrom(256, 320),
      (format, width, height, rotationDeg, isMirrored, mirrored, x, y, sidePx, rotationRad, size) => {
        const picture = waves(format, width, height, rotationDeg, isMirrored);
        const crop = { centreX: x * picture.widthPx, centreY: y * picture.heightPx, sidePx, rotationRad };
        const want = sampleCrop(picture, crop, { mirrored, size });
        const got = samplerOf(size)(picture, crop, mirrored);
        expect(got).toHaveLength(3 * size * size);
        // Places are 32-bit here: at the picture's very edge a pixel may be black on one side only.
        let edge = 0;
        for (let i = 0; i < want.length; i += 1) {
          if (Math.abs((got[i] as number) - (want[i] as number)) < 0.2 / 255) continue;
          expect(got[i] === 0 || want[i] === 0).toBe(true);
          edge += 1;
        }
        expect(edge).toBeLessThan(3 * size);
      },
    ), { numRuns: 60 });
  });

  it('a picture without planes, or with hardly any pixels, is sampled as before', () => {
    const bytes = new Uint8Array(64 * 64 * 4).fill(90);
    const rgba: Picture = { format: 'RGBA', codedWidth: 64, codedHeight: 64, bytes, layout: [{ offset: 0, stride: 256 }], matrix: 'bt709', range: 'full', rotationDeg: 0, widthPx: 64, heightPx: 64 };
    const crop = { centreX: 32, centreY: 32, sidePx: 40, rotationRad: 0.2 };
    expect([...sample(rgba, crop, false)]).toEqual([...sampleCrop(rgba, crop)]);
    const tiny = waves('I420', 16, 16, 0, false);
    expect([...sample(tiny, { ...crop, centreX: 8, centreY: 8 }, true)]).toEqual([...sampleCrop(tiny, { ...crop, centreX: 8, centreY: 8 }, { mirrored: true })]);
  });
});
