// node tools/demo/pack-tracks.mjs FOLDER: packs raw tracks (npm run measure -- CLIPS --tracks FOLDER) of invented, computer-drawn
// athletes into public/demo/tracks, for the reps of the invented club whose body lines can be shown.
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const NAMES = ['two-step-run-good', 'two-step-run-short-lunge', 'power-hurdle-good', 'power-hurdle-low-knee'];
const [folder] = process.argv.slice(2);
if (folder === undefined) throw new Error('which folder holds the tracks?');
const out = fileURLToPath(new URL('../../public/demo/tracks/', import.meta.url));
mkdirSync(out, { recursive: true });
for (const name of NAMES) {
  const track = JSON.parse(readFileSync(join(folder, `${name}.json`), 'utf8'));
  const packed = {
    timesUs: track.times.map((t) => Math.round(t * 1e6)),
    widthPx: track.widthPx,
    heightPx: track.heightPx,
    quarterPx: track.xy.map((value) => (value === null ? null : Math.round(value * 4))),
    sdQuarterPx: track.sd.map((value) => (value === null ? null : Math.round(value * 4))),
    scorePercent: track.score.map((value) => Math.round((value ?? 0) * 100)),
    model: track.model,
    backend: track.backend,
  };
  writeFileSync(join(out, `${name}.json`), `${JSON.stringify(packed)}\n`);
}
