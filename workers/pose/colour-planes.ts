import { colourBytes, type Picture } from './picture.ts';

/** One colour plane: samples `step` bytes apart, the first at `offset`, each covering `span` luma pixels a side. */
export interface Plane {
  readonly bytes: Uint8Array;
  readonly offset: number;
  readonly stride: number;
  readonly step: number;
  readonly width: number;
  readonly height: number;
  readonly span: number;
  /** Luma position of the centre of the first sample. */
  readonly firstX: number;
  readonly firstY: number;
}

/** The three planes of a picture: luma and two of chroma, or red, green and blue. Throws RangeError when the layout lacks one. */
export function colourPlanes(picture: Picture): Plane[] {
  const { codedWidth: width, codedHeight: height } = picture;
  const bytes = new Uint8Array(picture.bytes.buffer, picture.bytes.byteOffset, picture.bytes.byteLength);
  const first = layoutAt(picture, 0);
  const colours = colourBytes(picture.format);
  if (colours !== null) {
    return colours.map((channel) => ({
      bytes, offset: first.offset + channel, stride: first.stride, step: 4, width, height, span: 1, firstX: 0.5, firstY: 0.5,
    }));
  }
  const luma: Plane = { bytes, offset: first.offset, stride: first.stride, step: 1, width, height, span: 1, firstX: 0.5, firstY: 0.5 };
  // H.264 and VP9 place chroma level with the left luma sample of each pair, half-way between rows (ITU-T H.264, fig. 6-1).
  const chroma = { bytes, width: (width + 1) >> 1, height: (height + 1) >> 1, span: 2, firstX: 0.5, firstY: 1 };
  const second = layoutAt(picture, 1);
  if (picture.format === 'NV12') {
    return [
      luma,
      { ...chroma, offset: second.offset, stride: second.stride, step: 2 },
      { ...chroma, offset: second.offset + 1, stride: second.stride, step: 2 },
    ];
  }
  const third = layoutAt(picture, 2);
  return [
    luma,
    { ...chroma, offset: second.offset, stride: second.stride, step: 1 },
    { ...chroma, offset: third.offset, stride: third.stride, step: 1 },
  ];
}

function layoutAt(picture: Picture, index: number): Picture['layout'][number] {
  const layout = picture.layout[index];
  if (layout === undefined) throw new RangeError(`${picture.format} needs plane ${index}`);
  return layout;
}

/** For red, green and blue each: the weights of the three planes and a number to add. */
export type RgbMatrix = readonly [number, number, number, number, number, number, number, number, number, number, number, number];

/** Rows of weights and offset that turn the three byte samples into RGB from 0 to 1 (ITU-R BT.601 and BT.709). */
export function rgbMatrix(picture: Picture): RgbMatrix {
  const unit = 1 / 255;
  if (colourBytes(picture.format) !== null) return [unit, 0, 0, 0, 0, unit, 0, 0, 0, 0, unit, 0];
  const [kr, kb] = picture.matrix === 'bt709' ? [0.2126, 0.0722] : [0.299, 0.114];
  const kg = 1 - kr - kb;
  const limited = picture.range === 'limited';
  const yScale = limited ? 1 / 219 : unit;
  const cScale = limited ? 1 / 224 : unit;
  const yZero = limited ? 16 : 0;
  const rv = 2 * (1 - kr) * cScale;
  const bu = 2 * (1 - kb) * cScale;
  const gu = -(bu * kb) / kg;
  const gv = -(rv * kr) / kg;
  const zero = -yZero * yScale;
  return [
    yScale, 0, rv, zero - 128 * rv,
    yScale, gu, gv, zero - 128 * (gu + gv),
    yScale, bu, 0, zero - 128 * bu,
  ];
}
