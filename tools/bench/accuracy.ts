import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join, parse } from 'node:path';
import { fileURLToPath } from 'node:url';
import { readClip } from '../../src/reading/read-clip.ts';
import type { Overrides } from '../../src/reading/reading.ts';
import { openPage } from '../browser/open-page.ts';
import { clipRecord } from '../measure/clip-record.ts';
import { measureClips } from '../measure/measure-clips.ts';
import { resultsSchema, type ResultRecord } from '../measure/results-schema.ts';
import { formatGroups, formatTables, measureRows, type Pair } from './accuracy-table.ts';
import { storedTrack } from './stored-tracks.ts';
import { readTruth, type Truth } from './truth.ts';

const USAGE = `Measures every clip of a folder that has a NAME.truth.json beside it and prints how far the engine is off.

  npm run bench:accuracy -- DIR [--only TEXT] [--model full] [--each] [--results FILE] [--write]

  --only TEXT     only clips whose name holds TEXT
  --model SIZE    lite, full (default) or heavy
  --each          also lists every clip's errors
  --tracks DIR    reads raw tracks DIR/NAME.json written by "npm run measure -- … --tracks DIR" instead of running the
                  pose model again: for work on moments and measures
  --results FILE  keeps the records in FILE; when FILE exists, reads them instead of measuring again
  --write         writes the tables into docs/accuracy.md, a section a folder`;

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const CLIP_EXTENSIONS = ['.mp4', '.mov', '.webm'];

/** Runs the accuracy bench; resolves to the exit status. */
export async function main(args: readonly string[]): Promise<number> {
  const value = (name: string): string | null => {
    const at = args.indexOf(name);
    return at === -1 ? null : (args[at + 1] ?? null);
  };
  const folder = args[0];
  const model = value('--model') ?? 'full';
  if (folder === undefined || folder.startsWith('--') || (model !== 'lite' && model !== 'full' && model !== 'heavy')) {
    process.stderr.write(`${USAGE}\n`);
    return 2;
  }
  const only = value('--only') ?? '';
  const clips = readdirSync(folder)
    .filter((name) => CLIP_EXTENSIONS.includes(parse(name).ext.toLowerCase()) && name.includes(only))
    .filter((name) => existsSync(join(folder, `${parse(name).name}.truth.json`)))
    .sort();
  if (clips.length === 0) {
    process.stderr.write(`No clip with a truth file in ${folder}.\n`);
    return 2;
  }
  const truths = new Map(clips.map((name) => [name, readTruth(join(folder, `${parse(name).name}.truth.json`))]));
  const results = value('--results');
  const tracks = value('--tracks');
  const records = tracks !== null
    ? readTracks(tracks, truths)
    : results !== null && existsSync(results)
      ? readRecords(results)
      : await measureAll(folder, clips, truths, model);
  if (results !== null && !existsSync(results)) {
    writeFileSync(results, JSON.stringify({ format: 'lungeline-results', version: 1, records: [...records.values()] }));
  }
  const pairs: Pair[] = [];
  for (const name of clips) {
    const record = records.get(name);
    const truth = truths.get(name);
    if (record !== undefined && truth !== undefined) pairs.push({ name, record, truth });
  }
  process.stdout.write(`${formatTables(pairs)}\n`);
  if (args.includes('--each')) process.stdout.write(`\n${eachClip(pairs)}\n`);
  if (args.includes('--write')) writePage(pairs, basename(folder));
  return pairs.some(({ record }) => !record.ok) ? 1 : 0;
}

function readRecords(path: string): ReadonlyMap<string, ResultRecord> {
  const { records } = resultsSchema.parse(JSON.parse(readFileSync(path, 'utf8')));
  return new Map(records.map((record) => [record.clip, record]));
}

/** What a coach would state beside the clip: that it runs in real time, and how tall the athlete is. */
function stated(truth: Truth | undefined): Overrides {
  return { timeBase: { kind: 'known' }, ...(truth === undefined ? {} : { heightM: truth.heightM }) };
}

/** Records out of stored raw tracks; clips without one are left out. */
function readTracks(folder: string, truths: ReadonlyMap<string, Truth>): ReadonlyMap<string, ResultRecord> {
  const records = new Map<string, ResultRecord>();
  for (const [name, truth] of truths) {
    const stored = storedTrack(folder, name);
    if (stored === null) continue;
    const { track } = stored;
    const started = performance.now();
    const reading = readClip({ ...stored, clip: { timeBase: { kind: 'known' } } }, stated(truth));
    const part = { fromS: track.times[0] ?? 0, toS: track.times.at(-1) ?? 0, proposed: false };
    const quality = { athleteHeightPx: null, brightness: null, sharpness: null };
    const analysis = { track, part, stoppedAtS: null, quality, engineVersion: 'stored track' };
    records.set(name, clipRecord(name, analysis, reading, performance.now() - started));
  }
  return records;
}

/** Start, lead leg and direction are left to the tool; the athlete's height and the time base are stated, as a coach would. */
async function measureAll(
  folder: string,
  clips: readonly string[],
  truths: ReadonlyMap<string, Truth>,
  model: 'lite' | 'full' | 'heavy',
): Promise<ReadonlyMap<string, ResultRecord>> {
  const records = new Map<string, ResultRecord>();
  const open = await openPage('measure.html');
  try {
    for (const name of clips) {
      const options = {
        request: { trim: null, athleteAt: null, model, backend: null },
        overrides: stated(truths.get(name)),
        withTracks: false,
      };
      for await (const { record } of measureClips(open.page, [join(folder, name)], options)) {
        records.set(name, record);
        process.stderr.write(`${name}: ${record.ok ? `${(record.tookMs / 1000).toFixed(1)} s` : record.problem.kind}\n`);
      }
    }
  } finally {
    await open.close();
  }
  return records;
}

function eachClip(pairs: readonly Pair[]): string {
  return pairs
    .map((pair) => {
      if (!pair.record.ok) return `${pair.name}: ${pair.record.problem.kind}`;
      const { record, truth } = pair;
      const moments = Object.entries(truth.moments).map(([id, t]) => {
        const moment = record.moments[id as keyof typeof record.moments];
        return `${id} ${moment.found ? ((moment.t - t) * truth.fps).toFixed(1) : moment.why}`;
      });
      const measures = measureRows([pair]).map((row) => `${row.id} ${row.measured === 0 ? 'none' : row.bias.toFixed(row.unit === 'deg' ? 1 : 3)}`);
      return [
        `${pair.name}: ${record.start.id} (${truth.start}), ${record.lead.side} (${truth.lead}), ${record.direction.value}`,
        `  frames off: ${moments.join(', ')}`,
        `  off: ${measures.join(', ')}`,
      ].join('\n');
    })
    .join('\n');
}

/** Puts the tables of one folder into its own section of docs/accuracy.md; the words around the sections stay. */
function writePage(pairs: readonly Pair[], folder: string): void {
  const begin = `<!-- ${folder}: written by npm run bench:accuracy, do not edit -->`;
  const end = `<!-- ${folder}: end -->`;
  const path = join(ROOT, 'docs', 'accuracy.md');
  const page = existsSync(path) ? readFileSync(path, 'utf8') : '# Accuracy\n';
  const first = pairs.find(({ record }) => record.ok)?.record;
  const engine = first?.ok === true ? `engine ${first.engine.version}, ${first.engine.model}, ${first.engine.backend}` : 'no clip measured';
  const written = [
    begin,
    '',
    `Measured ${new Date().toISOString().slice(0, 10)} over ${String(pairs.length)} rendered clips with exact truth; ${engine}.`,
    'Everything is automatic; only the time base and the standing height are stated. Angles are held against the truth in space.',
    '',
    formatTables(pairs),
    '',
    ...(['start', 'yaw', 'fps', 'light', 'body'] as const).flatMap((group) => [formatGroups(pairs, group), '']),
    'Group tables: mean absolute error, degrees and leg lengths.',
    '',
    end,
  ].join('\n');
  const from = page.indexOf(begin);
  const to = page.indexOf(end);
  const next = from === -1 || to === -1 ? `${page.trimEnd()}\n\n${written}\n` : page.slice(0, from) + written + page.slice(to + end.length);
  writeFileSync(path, next);
}
