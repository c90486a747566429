import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { limbLengths, THIGH_TO_SHANK } from './limb-lengths.ts';

const USAGE = `What tracks of real people say of their bones: shanks that keep their length, thighs as long as anthropometry says.

  npm run measure -- CLIP... --from 0 --to 60 --tracks DIR
  node tools/run.mjs tools/bench/real-people.ts DIR`;

/** Prints a row a leg for every track of a folder; resolves to the exit status. */
export function main(args: readonly string[]): number {
  const [folder] = args;
  if (folder === undefined) {
    process.stderr.write(`${USAGE}\n`);
    return 2;
  }
  process.stdout.write(`thigh / shank expected: ${THIGH_TO_SHANK.deLeva.toFixed(3)} to ${THIGH_TO_SHANK.drillisContini.toFixed(3)}\n`);
  for (const name of readdirSync(folder).filter((each) => each.endsWith('.json'))) {
    const track = JSON.parse(readFileSync(join(folder, name), 'utf8')) as { times: number[]; xy: (number | null)[]; score: (number | null)[]; sd: (number | null)[]; widthPx: number; heightPx: number; model: string; backend: string };
    const numbers = (values: readonly (number | null)[]): Float32Array => Float32Array.from(values, (value) => value ?? NaN);
    const legs = limbLengths({ ...track, times: Float64Array.from(track.times), xy: numbers(track.xy), score: numbers(track.score), sd: numbers(track.sd) });
    for (const leg of legs) {
      process.stdout.write(`${name} ${track.model} ${leg.side}: ${leg.frames} frames, shank ± ${(100 * leg.shankSpread).toFixed(1)} %, thigh / shank ${leg.thighToShank.toFixed(3)}\n`);
    }
  }
  return 0;
}
