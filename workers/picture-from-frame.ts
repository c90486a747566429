import type { Picture } from './pose/picture.ts';

/** Layouts that are read as they come; X is a byte that means nothing. Firefox 153 hands out BGRX where Chromium hands out planes. */
const OWN: Readonly<Partial<Record<string, Picture['format']>>> = { I420: 'I420', NV12: 'NV12', RGBA: 'RGBA', RGBX: 'RGBA', BGRA: 'BGRA', BGRX: 'BGRA' };

/** Copies decoded frames into one buffer that is used again for every frame. */
export class PictureReader {
  #bytes = new Uint8Array(0);
  readonly #rotationDeg: Picture['rotationDeg'];
  readonly #isMirrored: boolean;
  readonly #widthPx: number;
  readonly #heightPx: number;

  /** The container's turn, mirror and display size; they are applied here once and nowhere else. */
  constructor(display: { readonly rotationDeg: Picture['rotationDeg']; readonly isMirrored?: boolean; readonly widthPx: number; readonly heightPx: number }) {
    this.#rotationDeg = display.rotationDeg;
    this.#isMirrored = display.isMirrored === true;
    this.#widthPx = display.widthPx;
    this.#heightPx = display.heightPx;
  }

  /**
   * The frame's pixels in the decoder's own layout where that is one of Picture's, else as RGBA.
   * The picture is good until the next call. The frame stays open.
   */
  async read(frame: VideoFrame): Promise<Picture> {
    const rect = frame.visibleRect ?? { width: frame.codedWidth, height: frame.codedHeight };
    const common = {
      codedWidth: rect.width,
      codedHeight: rect.height,
      matrix: matrixOf(frame.colorSpace.matrix, rect.height),
      range: frame.colorSpace.fullRange === true ? 'full' as const : 'limited' as const,
      rotationDeg: this.#rotationDeg,
      isMirrored: this.#isMirrored,
      widthPx: this.#widthPx,
      heightPx: this.#heightPx,
    };
    const own = frame.format === null ? undefined : OWN[frame.format];
    if (own !== undefined) {
      this.#reserve(frame.allocationSize());
      const layout = await frame.copyTo(this.#bytes);
      return { ...common, format: own, bytes: this.#bytes, layout };
    }
    if (frame.format !== null) {
      const size = rect.width * rect.height * 4;
      this.#reserve(size);
      const layout = await frame.copyTo(this.#bytes, { format: 'RGBA', colorSpace: 'srgb', layout: [{ offset: 0, stride: rect.width * 4 }] });
      return { ...common, format: 'RGBA', bytes: this.#bytes, layout };
    }
    // Opaque frames (a texture without a named layout) can only be drawn: https://github.com/w3c/webcodecs/issues/920
    const canvas = new OffscreenCanvas(rect.width, rect.height);
    const context = canvas.getContext('2d', { willReadFrequently: true });
    if (context === null) throw new TypeError('this browser gives no 2-D canvas in a worker');
    context.drawImage(frame, 0, 0, rect.width, rect.height);
    const { data } = context.getImageData(0, 0, rect.width, rect.height);
    return { ...common, format: 'RGBA', bytes: data, layout: [{ offset: 0, stride: rect.width * 4 }] };
  }

  #reserve(size: number): void {
    if (this.#bytes.byteLength < size) this.#bytes = new Uint8Array(size);
  }
}

/** Reads a frame's pixels and closes it, whatever happens. */
export async function readAndClose(reader: PictureReader, frame: VideoFrame): Promise<Picture> {
  try {
    return await reader.read(frame);
  } finally {
    frame.close();
  }
}

/** The luma matrix the decoder states; where it states none, the usual one for the size (ITU-R BT.709 from 720 rows up). */
function matrixOf(stated: string | null, rows: number): Picture['matrix'] {
  if (stated === 'bt709') return 'bt709';
  if (stated === 'bt470bg' || stated === 'smpte170m') return 'bt601';
  return rows >= 720 ? 'bt709' : 'bt601';
}
