import pictureUrl from '../fixtures/stills/passe-launch-240x340.i420.gz?url';
import type { Crop } from './pose/crop.ts';
import type { LandmarkModelSize } from './pose/landmark-model.ts';
import type { Picture } from './pose/picture.ts';
import reference from './reference-landmarks.json';

/** Landmarks may differ from the stored ones by this much, picture pixels (the picture is 240 × 340; chosen: rounding of half floats stays far below). */
export const SELF_TEST_PX = 2;

/** The region of the reference picture in which the athlete stands. */
export const REFERENCE_CROP: Crop = reference.crop;

const WIDTH = 240;
const HEIGHT = 340;

/** The picture on which every backend must give the same landmarks (origin: fixtures/stills/README.md). Rejects when it cannot be fetched. */
export async function loadReferencePicture(): Promise<Picture> {
  const response = await fetch(pictureUrl);
  if (!response.ok || response.body === null) throw new Error(`${pictureUrl} answered ${response.status}`);
  const packed = new Uint8Array(await response.arrayBuffer());
  // A server that declares .gz files as gzip-encoded has them unpacked already.
  const isPacked = packed[0] === 0x1f && packed[1] === 0x8b;
  const bytes = isPacked
    ? new Uint8Array(await new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer())
    : packed;
  return referencePicture(bytes);
}

/** The unpacked bytes of the reference picture as a picture. */
export function referencePicture(bytes: Uint8Array): Picture {
  const luma = WIDTH * HEIGHT;
  return {
    format: 'I420', codedWidth: WIDTH, codedHeight: HEIGHT, bytes, matrix: 'bt709', range: 'limited', rotationDeg: 0,
    widthPx: WIDTH, heightPx: HEIGHT,
    layout: [{ offset: 0, stride: WIDTH }, { offset: luma, stride: WIDTH / 2 }, { offset: luma * 1.25, stride: WIDTH / 2 }],
  };
}

/** Largest distance between landmarks and the stored ones of that model, pixels. NaN when one is not a number. */
export function distanceFromReference(size: LandmarkModelSize, stockXy: Float32Array): number {
  const expected = reference.landmarks[size];
  let farthest = 0;
  for (let i = 0; i < expected.length; i += 2) {
    const away = Math.hypot((stockXy[i] ?? Number.NaN) - (expected[i] ?? Number.NaN), (stockXy[i + 1] ?? Number.NaN) - (expected[i + 1] ?? Number.NaN));
    if (Number.isNaN(away)) return Number.NaN;
    farthest = Math.max(farthest, away);
  }
  return farthest;
}
