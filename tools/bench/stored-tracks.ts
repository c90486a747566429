import { existsSync, readFileSync } from 'node:fs';
import { join, parse } from 'node:path';
import type { BackgroundMotion } from '../../src/clip/picture-quality.ts';
import type { PoseTrack } from '../../src/pose/pose-track.ts';
import type { PlainTrack } from '../measure/page.ts';

/** A raw track and how the background moved meanwhile: what a reading needs of the pictures. */
export interface StoredTrack {
  readonly track: PoseTrack;
  readonly quality: { readonly background?: BackgroundMotion };
}

/** The raw track of a clip out of a folder that "npm run measure -- … --tracks FOLDER" wrote; null where it holds none. */
export function storedTrack(folder: string, clip: string): StoredTrack | null {
  const path = join(folder, `${parse(clip).name}.json`);
  if (!existsSync(path)) return null;
  const plain = JSON.parse(readFileSync(path, 'utf8')) as PlainTrack;
  const numbers = (values: readonly (number | null)[]): Float32Array => Float32Array.from(values, (one) => one ?? Number.NaN);
  const { background, ...rest } = plain;
  return {
    track: { ...rest, times: Float64Array.from(rest.times), xy: numbers(rest.xy), score: numbers(rest.score), sd: numbers(rest.sd) },
    quality: background === null ? {} : { background: { xPx: Float32Array.from(background.xPx), yPx: Float32Array.from(background.yPx), turnRad: Float32Array.from(background.turnRad) } },
  };
}
