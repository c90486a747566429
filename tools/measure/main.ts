import { mkdirSync, writeFileSync } from 'node:fs';
import { basename, join, parse } from 'node:path';
import { START_IDS, type Side, type StartId } from '../../src/starts/start.ts';
import type { Overrides } from '../../src/reading/reading.ts';
import { openPage } from '../browser/open-page.ts';
import { measureClips, type BatchOptions } from './measure-clips.ts';
import { RESULTS_VERSION, resultsSchema, type Results } from './results-schema.ts';

const USAGE = `Measures clips with the same engine as the app, in a headless browser.

  npm run measure -- CLIP... [options] --out results.json

  --start ID       the start, when it is known: ${START_IDS.join(', ')}
  --lead SIDE      left or right, when it is known
  --height-m H     the athlete's standing height in metres: gives lengths in metres
  --model SIZE     lite, full (default) or heavy
  --backend NAME   wasm, webgl or webgpu; left out, the fastest correct one
  --workers N      workers that share a clip; left out, as many as in the app
  --from S --to S  measure only this part of the clips, seconds
  --out FILE       where the results go; left out, they are printed
  --tracks DIR     also writes each raw track as DIR/CLIP.json

Ends with 1 when a clip could not be measured (its record tells why), with 2 when the command is wrong.`;

interface Command {
  readonly clips: readonly string[];
  readonly options: BatchOptions;
  readonly out: string | null;
  readonly tracks: string | null;
  readonly workers: number | null;
}

/** Runs the batch command; resolves to the exit status. */
export async function main(args: readonly string[]): Promise<number> {
  const command = readCommand(args);
  if (typeof command === 'string') {
    process.stderr.write(`${command}\n\n${USAGE}\n`);
    return 2;
  }
  const { clips, options, out, tracks, workers } = command;
  if (tracks !== null) mkdirSync(tracks, { recursive: true });
  const open = await openPage(workers === null ? 'measure.html' : `measure.html?workers=${workers}`);
  const records: Results['records'] = [];
  try {
    for await (const { path, record, track } of measureClips(open.page, clips, options)) {
      records.push(record);
      if (track !== null && tracks !== null) {
        writeFileSync(join(tracks, `${parse(path).name}.json`), JSON.stringify(track));
      }
      const told = record.ok ? `${record.start.id}, lead ${record.lead.side}, ${(record.tookMs / 1000).toFixed(1)} s` : record.problem.kind;
      process.stderr.write(`${basename(path)}: ${told}\n`);
    }
  } finally {
    await open.close();
  }
  const results = resultsSchema.parse({ format: 'lungeline-results', version: RESULTS_VERSION, records });
  const text = `${JSON.stringify(results, null, 1)}\n`;
  if (out === null) process.stdout.write(text);
  else writeFileSync(out, text);
  return records.every((record) => record.ok) ? 0 : 1;
}

function readCommand(args: readonly string[]): Command | string {
  const clips: string[] = [];
  const given = new Map<string, string>();
  const known = ['--start', '--lead', '--height-m', '--model', '--backend', '--from', '--to', '--workers', '--out', '--tracks'];
  for (let i = 0; i < args.length; i += 1) {
    const arg = args[i] ?? '';
    if (!arg.startsWith('--')) {
      clips.push(arg);
      continue;
    }
    if (!known.includes(arg)) return `Unknown option ${arg}.`;
    i += 1;
    const value = args[i];
    if (value === undefined) return `${arg} needs a value.`;
    given.set(arg, value);
  }
  if (clips.length === 0) return 'Name at least one clip.';
  const overrides: { start?: StartId; lead?: Side; heightM?: number } = {};
  const start = given.get('--start');
  if (start !== undefined) {
    const id = START_IDS.find((one) => one === start);
    if (id === undefined) return `--start is one of ${START_IDS.join(', ')}.`;
    overrides.start = id;
  }
  const lead = given.get('--lead');
  if (lead !== undefined) {
    if (lead !== 'left' && lead !== 'right') return '--lead is left or right.';
    overrides.lead = lead;
  }
  const height = given.get('--height-m');
  if (height !== undefined) {
    const heightM = Number(height);
    if (!(heightM > 0.5 && heightM < 2.6)) return '--height-m is a standing height in metres, such as 1.52.';
    overrides.heightM = heightM;
  }
  const model = given.get('--model') ?? 'full';
  if (model !== 'lite' && model !== 'full' && model !== 'heavy') return '--model is lite, full or heavy.';
  const backend = given.get('--backend') ?? null;
  if (backend !== null && backend !== 'wasm' && backend !== 'webgl' && backend !== 'webgpu') return '--backend is wasm, webgl or webgpu.';
  const workers = given.has('--workers') ? Number(given.get('--workers')) : null;
  if (workers !== null && !(Number.isInteger(workers) && workers >= 1 && workers <= 8)) return '--workers is a whole number from 1 to 8.';
  const trim = readTrim(given.get('--from'), given.get('--to'));
  if (typeof trim === 'string') return trim;
  return {
    clips,
    options: {
      request: { trim, athleteAt: null, model, backend },
      overrides: overrides satisfies Overrides,
      withTracks: given.has('--tracks'),
    },
    out: given.get('--out') ?? null,
    tracks: given.get('--tracks') ?? null,
    workers,
  };
}

function readTrim(from: string | undefined, to: string | undefined): { fromS: number; toS: number } | null | string {
  if (from === undefined && to === undefined) return null;
  const fromS = Number(from ?? 0);
  const toS = Number(to ?? Number.NaN);
  if (!(fromS >= 0 && toS > fromS)) return '--from and --to are seconds, --to after --from.';
  return { fromS, toS };
}
