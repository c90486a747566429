import { describe, expect, it } from 'vitest';
import { lumaReader, meanLuma } from '../../workers/luma-reader.ts';
import { PictureReader } from '../../workers/picture-from-frame.ts';

const WIDTH = 4;
const HEIGHT = 2;
/** One colour: red 200, green 100, blue 50. */
const PIXELS: Readonly<Record<string, readonly number[]>> = { RGBA: [200, 100, 50, 255], RGBX: [200, 100, 50, 0], BGRA: [50, 100, 200, 255], BGRX: [50, 100, 200, 0] };
const LUMA = (0.2126 * 200 + 0.7152 * 100 + 0.0722 * 50) / 255;

/** A decoder's frame of that colour, which says how it was asked for its pixels. */
function frameOf(format: string): { readonly frame: VideoFrame; readonly asked: (VideoFrameCopyToOptions | undefined)[] } {
  const asked: (VideoFrameCopyToOptions | undefined)[] = [];
  const frame = {
    format, visibleRect: { width: WIDTH, height: HEIGHT }, codedWidth: WIDTH, codedHeight: HEIGHT, colorSpace: { matrix: 'bt709', fullRange: false },
    allocationSize: () => WIDTH * HEIGHT * 4,
    copyTo: (into: Uint8Array, options?: VideoFrameCopyToOptions) => {
      asked.push(options);
      const pixel = PIXELS[options === undefined ? format : 'RGBA'] ?? [];
      for (let at = 0; at < WIDTH * HEIGHT * 4; at += 4) into.set(pixel, at);
      return Promise.resolve([{ offset: 0, stride: WIDTH * 4 }]);
    },
  };
  return { frame: frame as unknown as VideoFrame, asked };
}

describe('a picture from a decoder’s frame', () => {
  it.each(['RGBA', 'RGBX', 'BGRA', 'BGRX'])('%s is read as it comes, without a conversion, and its colours are in place', async (format) => {
    const { frame, asked } = frameOf(format);
    const picture = await new PictureReader({ rotationDeg: 0, widthPx: WIDTH, heightPx: HEIGHT }).read(frame);
    expect(asked).toEqual([undefined]);
    expect(lumaReader(picture)(1, 1)).toBeCloseTo(LUMA, 12);
    expect(meanLuma(picture, 2, 0, 0, 2, 1)[1]).toBeCloseTo(LUMA, 6);
  });

  it('a layout that is not known is asked for as red, green, blue', async () => {
    const { frame, asked } = frameOf('I422P10');
    const picture = await new PictureReader({ rotationDeg: 0, widthPx: WIDTH, heightPx: HEIGHT }).read(frame);
    expect(asked[0]?.format).toBe('RGBA');
    expect(picture.format).toBe('RGBA');
    expect(lumaReader(picture)(3, 0)).toBeCloseTo(LUMA, 12);
  });
});
