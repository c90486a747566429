import { existsSync, readFileSync } from 'node:fs';
import { join, parse } from 'node:path';
import type { PoseTrack } from '../../src/pose/pose-track.ts';
import type { PlainTrack } from '../measure/page.ts';

/** The raw track of a clip out of a folder that "npm run measure -- … --tracks FOLDER" wrote; null where it holds none. */
export function storedTrack(folder: string, clip: string): PoseTrack | null {
  const path = join(folder, `${parse(clip).name}.json`);
  if (!existsSync(path)) return null;
  const plain = JSON.parse(readFileSync(path, 'utf8')) as PlainTrack;
  const numbers = (values: readonly (number | null)[]): Float32Array => Float32Array.from(values, (one) => one ?? Number.NaN);
  return { ...plain, times: Float64Array.from(plain.times), xy: numbers(plain.xy), score: numbers(plain.score), sd: numbers(plain.sd) };
}
