import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { cpus, loadavg, tmpdir, totalmem } from 'node:os';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { profileRows } from '../../src/reading/profile-rows.ts';
import { openBarePage, type BarePage } from '../browser/bare-page.ts';
import { memoryOf, watchMemory, type Memory } from '../browser/page-memory.ts';
import type { MachineLimit } from '../../workers/machine-limit.ts';
import type { StockRun } from '../../workers/stock-path.worker.ts';
import { median, percentile } from './quantiles.ts';
import type { EngineRun, SpeedPage } from './speed-page.ts';

const USAGE = `Times our engine beside the plain path of the pose package, in turns, on the same clips.

  npm run bench -- [CLIP...] [--runs N] [--plain-up-to S] [--soak N] [--workers N] [--write]

  CLIP...            clips with an athlete; left out, a fixture
  --runs N           counted runs of each, 3 when left out; one before them warms up
  --plain-up-to S    leaves the plain path out for clips longer than this, 10 s when left out
  --soak N           then N more runs of our engine on the first clip, to see whether memory grows
  --workers N        fixes how many workers share a clip; left out, the machine decides as in the app
  --write            adds the dated tables to docs/performance.md`;

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

interface Options {
  readonly clips: readonly string[];
  readonly runs: number;
  readonly plainUpToS: number;
  readonly soak: number;
  /** 0: as many as the machine gives. */
  readonly workers: number;
  readonly isWritten: boolean;
}

/** Everything measured on one clip. */
interface ClipRuns {
  readonly clip: string;
  readonly ours: readonly EngineRun[];
  readonly firstMs: number;
  readonly oursPeak: Memory;
  /** Empty where the plain path was left out. */
  readonly plain: readonly StockRun[];
  readonly plainPeak: Memory;
}

/** Runs the speed bench; resolves to the exit status. */
export async function main(args: readonly string[]): Promise<number> {
  const options = readOptions(args);
  if (options === null) {
    process.stderr.write(`${USAGE}\n`);
    return 2;
  }
  const built = mkdtempSync(join(tmpdir(), 'lungeline-bench-'));
  try {
    const build = spawnSync(
      process.execPath,
      [join(ROOT, 'node_modules', 'vite', 'bin', 'vite.js'), 'build', '--mode', 'bench', '--outDir', built, '--emptyOutDir', '--logLevel', 'error'],
      { cwd: ROOT, stdio: ['ignore', 'inherit', 'inherit'] },
    );
    if (build.status !== 0) throw new Error('the build failed');
    const text = await measureAll(built, options);
    process.stdout.write(`${text}\n`);
    if (options.isWritten) addToPage(text);
  } finally {
    rmSync(built, { recursive: true, force: true });
  }
  return 0;
}

/** What was asked for, null where it makes no sense. */
function readOptions(args: readonly string[]): Options | null {
  const clips: string[] = [];
  const numbers: Record<string, number> = { '--runs': 3, '--plain-up-to': 10, '--soak': 0, '--workers': 0 };
  let isWritten = false;
  for (let i = 0; i < args.length; i += 1) {
    const arg = args[i] ?? '';
    if (arg === '--write') isWritten = true;
    else if (arg in numbers) numbers[arg] = Number(args[(i += 1)]);
    else if (arg.startsWith('--') || !existsSync(arg)) return null;
    else clips.push(arg);
  }
  const [runs = Number.NaN, plainUpToS = Number.NaN, soak = Number.NaN, workers = Number.NaN] = [numbers['--runs'], numbers['--plain-up-to'], numbers['--soak'], numbers['--workers']];
  if (!(runs >= 1) || !(plainUpToS >= 0) || !(soak >= 0) || !(workers >= 0)) return null;
  return { clips: clips.length > 0 ? clips : [join(ROOT, 'fixtures', 'clips', 'sprint-lunge-good.mp4')], runs, plainUpToS, soak, workers, isWritten };
}

async function measureAll(built: string, options: Options): Promise<string> {
  const all: ClipRuns[] = [];
  for (const clip of options.clips) all.push(await measureClip(built, clip, options));
  const { limit, version } = await onPage(built, options, options.clips[0] ?? '', async (page) => ({ limit: await call(page, 'limit'), version: page.version }));
  const soaked = options.soak === 0 ? [] : await soak(built, options);
  return report(all, limit, version, soaked);
}

/** Runs both paths in turns on one clip, each in a browser of its own, so that memory can be told apart. */
function measureClip(built: string, clip: string, options: Options): Promise<ClipRuns> {
  const { runs, plainUpToS } = options;
  return onPage(built, options, clip, (oursPage) => onPage(built, options, clip, async (plainPage) => {
    const ours: EngineRun[] = [];
    const plain: StockRun[] = [];
    const oursPeak = watchMemory(await oursPage.rendererIds());
    const plainPeak = watchMemory(await plainPage.rendererIds());
    let isPlain = true;
    for (let run = 0; run <= runs; run += 1) {
      ours.push(await call(oursPage, 'engine'));
      isPlain = (ours[0]?.clipS ?? 0) <= plainUpToS;
      if (isPlain) plain.push(await call(plainPage, 'stock'));
      process.stderr.write(`${basename(clip)} ${run === 0 ? 'first run, with loading' : `run ${run}`}: ours ${seconds(ours.at(-1)?.toCueMs)} s${isPlain ? `, plain ${seconds(plain.at(-1)?.runMs)} s` : ''}\n`);
    }
    return {
      clip,
      ours: ours.slice(1),
      firstMs: ours[0]?.toCueMs ?? Number.NaN,
      oursPeak: oursPeak(),
      plain: plain.slice(1),
      plainPeak: plainPeak(),
    };
  }));
}

/** The page's own memory after each of so many clips, MiB. */
function soak(built: string, options: Options): Promise<readonly number[]> {
  const count = options.soak;
  return onPage(built, options, options.clips[0] ?? '', async (page) => {
    const ids = await page.rendererIds();
    const sizes: number[] = [];
    for (let run = 0; run < count; run += 1) {
      await call(page, 'engine');
      sizes.push(memoryOf(ids).own);
      process.stderr.write(`clip ${run + 1} of ${count}: ${whole(sizes.at(-1))} MiB\n`);
    }
    return sizes;
  });
}

async function onPage<T>(built: string, { workers }: Options, clip: string, work: (page: BarePage) => Promise<T>): Promise<T> {
  const page = await openBarePage(built, workers === 0 ? 'bench.html' : `bench.html?workers=${workers}`);
  try {
    await page.setFiles([clip]);
    return await work(page);
  } finally {
    await page.close();
  }
}

/** Calls a function of the bench page. */
function call<K extends keyof SpeedPage>(page: BarePage, name: K): Promise<Awaited<ReturnType<SpeedPage[K]>>> {
  return page.evaluate(`window.lungelineSpeed.${name}()`) as Promise<Awaited<ReturnType<SpeedPage[K]>>>;
}

function report(all: readonly ClipRuns[], limit: MachineLimit, version: string, soaked: readonly number[]): string {
  const cpu = cpus();
  const first = all[0];
  const row = (what: string, cell: (one: ClipRuns) => string): string => `| ${what} | ${all.map(cell).join(' | ')} |`;
  const ours = (one: ClipRuns, pick: (run: EngineRun) => number): number => median(one.ours.map(pick));
  const plainMs = (one: ClipRuns): number => median(one.plain.map((run) => run.runMs));
  const ifPlain = (one: ClipRuns, text: () => string): string => (one.plain.length === 0 ? 'left out' : text());
  const perS = limit.frameMultiplyAdds / (limit.frameMs / 1000);
  return [
    `## ${new Date().toISOString().slice(0, 10)}`,
    '',
    `Machine: ${cpu[0]?.model.trim() ?? 'unknown processor'}, ${cpu.length} cores, ${(totalmem() / 2 ** 30).toFixed(0)} GiB, no graphics card used, load ${(loadavg()[0] ?? 0).toFixed(1)} at the end (about 2 is this bench alone). Browser: ${version}, not inspected. Ours by ${limit.means} with ${first?.ours[0]?.profile.workers ?? 1} workers, the plain path by the tensor library on wasm SIMD with one.`,
    `Medians of ${first?.ours.length ?? 0} runs in turns, models loaded. Ours ends with the cue: moments, measures, verdicts. The plain path ends with its last landmarks.`,
    '',
    row('', (one) => basename(one.clip)),
    `|---|${all.map(() => '---|').join('')}`,
    row('clip', (one) => `${one.ours[0]?.clipS.toFixed(1) ?? ''} s, ${one.ours[0]?.clipFrames ?? ''} frames, ${(statSync(one.clip).size / 1024).toFixed(0)} KiB`),
    row('frames through the body model', (one) => ours(one, (run) => run.profile.frames).toFixed(0)),
    row('ours: file to cue, s', (one) => seconds(ours(one, (run) => run.toCueMs))),
    row('… as a multiple of the clip’s length', (one) => ours(one, (run) => run.toCueMs / 1000 / run.clipS).toFixed(2)),
    ...(all.length > 1 ? [row('… as a multiple of the first clip’s', (one) => (first === undefined ? '' : (ours(one, (run) => run.toCueMs) / ours(first, (run) => run.toCueMs)).toFixed(2)))] : []),
    row('… the very first time, models loading, s', (one) => seconds(one.firstMs)),
    row('plain path: file to last landmarks, s', (one) => ifPlain(one, () => seconds(plainMs(one)))),
    row('plain ÷ ours', (one) => ifPlain(one, () => (plainMs(one) / ours(one, (run) => run.toCueMs)).toFixed(2))),
    row('ours a frame of the clip, ms', (one) => ours(one, (run) => run.toCueMs / run.clipFrames).toFixed(1)),
    row('plain path a frame, ms', (one) => ifPlain(one, () => median(one.plain.map((run) => run.runMs / run.frames)).toFixed(1))),
    row('first joints on their picture, s after decoding starts', (one) => seconds(median(one.ours.map((run) => run.firstSeenMs ?? Number.NaN)))),
    row('picture of a key moment, ms after the cue', (one) => ours(one, (run) => run.keyPictureMs).toFixed(0)),
    row('peak memory of the page’s process, ours, MiB: its own; with the browser’s shared code', (one) => `${whole(one.oursPeak.own)}; ${whole(one.oursPeak.resident)}`),
    row('… plain path', (one) => ifPlain(one, () => `${whole(one.plainPeak.own)}; ${whole(one.plainPeak.resident)}`)),
    row('page’s own thread: longest task, ms (0: none of 50 or more)', (one) => Math.max(0, ...one.ours.flatMap((run) => run.longTasksMs)).toFixed(0)),
    row('… 99 of 100 calls come at most this late, ms', (one) => percentile(one.ours.flatMap((run) => run.latenessMs), 0.99).toFixed(0)),
    '',
    ...(first === undefined ? [] : whereTimeGoes(first)),
    '',
    `Limit: one frame (landmark model with joint head) is ${(limit.frameMultiplyAdds / 1e6).toFixed(0)} million multiply–adds and took one worker alone ${limit.frameMs.toFixed(1)} ms, ${(perS / 1e9).toFixed(1)} billion a second; a 512 × 512 matrix product by the same means reached ${(limit.peakPerS / 1e9).toFixed(1)} billion. So the model runs at ${((100 * perS) / limit.peakPerS).toFixed(0)} % of what they reach here.`,
    ...(soaked.length === 0 ? [] : ['', `The page’s own memory after each of ${soaked.length} clips one after another, MiB: ${soaked.map((one) => one.toFixed(0)).join(', ')}.`]),
    '',
  ].join('\n');
}

/** The steps of our time on one clip, medians over its runs. */
function whereTimeGoes({ clip, ours }: ClipRuns): readonly string[] {
  const rows = ours.map((run) => profileRows(run.profile, run.readMs));
  return [
    `Where our time goes on ${basename(clip)}; steps that workers share are summed over them.`,
    '',
    '| | ms in all | ms a frame |',
    '|---|---|---|',
    ...(rows[0] ?? []).map(({ what }, i) => {
      const perFrame = rows.map((one) => one[i]?.perFrameMs ?? Number.NaN);
      return `| ${what} | ${median(rows.map((one) => one[i]?.ms ?? Number.NaN)).toFixed(0)} | ${Number.isNaN(perFrame[0]) ? '' : median(perFrame).toFixed(1)} |`;
    }),
  ];
}

function addToPage(text: string): void {
  const path = join(ROOT, 'docs', 'performance.md');
  const intro = '# Speed\n\nWritten by `npm run bench -- CLIP... --write`, newest first. Compare only within one table: machines differ.\n';
  const before = existsSync(path) ? readFileSync(path, 'utf8') : intro;
  const at = before.indexOf('\n## ');
  const head = at === -1 ? before.trimEnd() : before.slice(0, at).trimEnd();
  const tail = at === -1 ? '' : before.slice(at);
  writeFileSync(path, `${head}\n\n${text.trimEnd()}\n${tail}`);
}

function whole(value: number | undefined): string {
  return value === undefined || Number.isNaN(value) ? 'not known' : value.toFixed(0);
}

function seconds(ms: number | undefined): string {
  return ms === undefined || Number.isNaN(ms) ? 'not known' : (ms / 1000).toFixed(2);
}
