import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { cpus, loadavg, tmpdir, totalmem } from 'node:os';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { openPage } from '../browser/open-page.ts';
import type { EngineRun } from './speed-page.ts';
import type { ComputeFacts, StockRun } from '../../workers/stock-path.worker.ts';

const USAGE = `Times our engine beside the plain path of the pose package, in turns, on one clip.

  npm run bench -- [CLIP] [--runs N] [--soak N] [--write]

  CLIP        a clip with an athlete; left out, a fixture
  --runs N    runs of each, 3 when left out; the first of each only warms up and is not counted
  --soak N    then N more runs of our engine, to see whether memory grows
  --write     adds the dated table to docs/performance.md`;

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

/** Runs the speed bench; resolves to the exit status. */
export async function main(args: readonly string[]): Promise<number> {
  const number = (name: string, otherwise: number): number => {
    const at = args.indexOf(name);
    return at === -1 ? otherwise : Number(args[at + 1]);
  };
  const clip = args[0] !== undefined && !args[0].startsWith('--') ? args[0] : join(ROOT, 'fixtures', 'clips', 'sprint-lunge-good.mp4');
  const runs = number('--runs', 3);
  const soak = number('--soak', 0);
  if (!existsSync(clip) || !(runs >= 1) || !(soak >= 0)) {
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
    const text = await measure(built, clip, runs, soak);
    process.stdout.write(`${text}\n`);
    if (args.includes('--write')) addToPage(text);
  } finally {
    rmSync(built, { recursive: true, force: true });
  }
  return 0;
}

async function measure(built: string, clip: string, runs: number, soak: number): Promise<string> {
  // Each path in a page and process of its own, so that memory can be told apart.
  const ours = await openPage('bench.html', { folder: built });
  const plain = await openPage('bench.html', { folder: built });
  try {
    await ours.page.setInputFiles('#clips', clip);
    await plain.page.setInputFiles('#clips', clip);
    const engineRuns: EngineRun[] = [];
    const stockRuns: StockRun[] = [];
    for (let run = 0; run <= runs; run += 1) {
      const engineRun = await runEngine(ours.page);
      const stockRun = await runStock(plain.page);
      process.stderr.write(`run ${run}: ours ${(engineRun.toCueMs / 1000).toFixed(2)} s, plain ${(stockRun.runMs / 1000).toFixed(2)} s\n`);
      if (run > 0) {
        engineRuns.push(engineRun);
        stockRuns.push(stockRun);
      } else {
        process.stderr.write(`first run, with loading: ours ${(engineRun.toCueMs / 1000).toFixed(2)} s, plain ${((stockRun.prepareMs + stockRun.runMs) / 1000).toFixed(2)} s\n`);
      }
    }
    const facts = await plain.page.evaluate(async () => {
      if (window.lungelineSpeed === undefined) throw new Error('the page did not start');
      return window.lungelineSpeed.facts();
    });
    const ourPeak = await peakMemoryMiB(ours.browser);
    const plainPeak = await peakMemoryMiB(plain.browser);
    const soaked: number[] = [];
    for (let run = 0; run < soak; run += 1) {
      await runEngine(ours.page);
      soaked.push(await memoryNowMiB(ours.browser));
    }
    return report(clip, ours.browser, engineRuns, stockRuns, facts, { ourPeak, plainPeak, soaked });
  } finally {
    await ours.close();
    await plain.close();
  }
}

function runEngine(page: Page): Promise<EngineRun> {
  return page.evaluate(async () => {
    if (window.lungelineSpeed === undefined) throw new Error('the page did not start');
    return window.lungelineSpeed.engine();
  });
}

function runStock(page: Page): Promise<StockRun> {
  return page.evaluate(async () => {
    if (window.lungelineSpeed === undefined) throw new Error('the page did not start');
    return window.lungelineSpeed.stock();
  });
}

function report(
  clip: string,
  browser: Browser,
  engineRuns: readonly EngineRun[],
  stockRuns: readonly StockRun[],
  facts: ComputeFacts,
  memory: { readonly ourPeak: number | null; readonly plainPeak: number | null; readonly soaked: readonly number[] },
): string {
  const frames = engineRuns[0]?.frames ?? 0;
  const ourMs = median(engineRuns.map((run) => run.toCueMs));
  const plainMs = median(stockRuns.map((run) => run.runMs));
  const part = (pick: (run: EngineRun) => number): string => median(engineRuns.map(pick)).toFixed(0);
  const each = (pick: (run: EngineRun) => number): string => (median(engineRuns.map(pick)) / frames).toFixed(1);
  const modelPerS = facts.modelMultiplyAdds / (facts.modelMs / 1000);
  const cpu = cpus();
  return [
    `## ${new Date().toISOString().slice(0, 10)}`,
    '',
    `Machine: ${cpu[0]?.model.trim() ?? 'unknown processor'}, ${cpu.length} cores, ${(totalmem() / 2 ** 30).toFixed(0)} GiB, no graphics card used, load ${(loadavg()[0] ?? 0).toFixed(1)} at the end (about 2 is this bench alone). Browser: Chromium ${browser.version()}. Backend: wasm SIMD; ours with ${engineRuns[0]?.profile.workers ?? 1} workers, the plain path with one.`,
    `Clip: ${basename(clip)}, ${(statSync(clip).size / 1024).toFixed(0)} KiB, ${frames} frames. Medians of ${engineRuns.length} runs in turns, models loaded.`,
    '',
    '| | ours | plain path | ratio |',
    '|---|---|---|---|',
    `| file to result, s | ${(ourMs / 1000).toFixed(2)} | ${(plainMs / 1000).toFixed(2)} | ${(plainMs / ourMs).toFixed(2)} |`,
    `| a frame, ms | ${(ourMs / frames).toFixed(1)} | ${(plainMs / (stockRuns[0]?.frames ?? 1)).toFixed(1)} | |`,
    `| peak memory of the page's process, MiB | ${whole(memory.ourPeak)} | ${whole(memory.plainPeak)} | |`,
    `| one key picture, ms | ${part((run) => run.stillMs)} | | |`,
    `| longest task of the page's own thread, ms (0: none of 50 or more) | ${Math.max(...engineRuns.map((run) => run.longestTaskMs)).toFixed(0)} | | |`,
    '',
    'The parts of the dense pass below are summed over the workers.',
    'Ours ends with the cue: moments, measures, verdicts. The plain path ends with its last landmarks.',
    '',
    '| where our time goes | ms in all | ms a frame |',
    '|---|---|---|',
    `| opening, listing frames | ${part((run) => run.profile.openMs)} | |`,
    `| starting backend, loading models (kept between clips) | ${part((run) => run.profile.prepareMs)} | |`,
    `| finding people (sparse) | ${part((run) => run.profile.findMs)} | |`,
    `| waiting for the decoder | ${part((run) => run.profile.decodeMs)} | ${each((run) => run.profile.decodeMs)} |`,
    `| copying pixels | ${part((run) => run.profile.copyMs)} | ${each((run) => run.profile.copyMs)} |`,
    `| landmark model with its sampler | ${part((run) => run.profile.inferMs)} | ${each((run) => run.profile.inferMs)} |`,
    `| picture quality | ${part((run) => run.profile.qualityMs)} | ${each((run) => run.profile.qualityMs)} |`,
    `| reading: moments, measures, cues | ${part((run) => run.readMs)} | ${each((run) => run.readMs)} |`,
    '',
    `Limit: one pass of the landmark model is ${(facts.modelMultiplyAdds / 1e6).toFixed(0)} million multiply–adds and took ${facts.modelMs.toFixed(1)} ms, ${(modelPerS / 1e9).toFixed(1)} billion a second; a 512 × 512 matrix product on the same backend reached ${(facts.peakPerS / 1e9).toFixed(1)} billion. So the model alone runs at ${((100 * modelPerS) / facts.peakPerS).toFixed(0)} % of what this backend reaches here.`,
    ...(memory.soaked.length === 0 ? [] : ['', `Memory after each of ${memory.soaked.length} more clips, MiB: ${memory.soaked.map((one) => one.toFixed(0)).join(', ')}.`]),
    '',
  ].join('\n');
}

/** Highest resident memory so far of the page's process, MiB; null where the system does not tell. */
function peakMemoryMiB(browser: Browser): Promise<number | null> {
  return processMemory(browser, 'VmHWM');
}

async function memoryNowMiB(browser: Browser): Promise<number> {
  return (await processMemory(browser, 'VmRSS')) ?? Number.NaN;
}

async function processMemory(browser: Browser, field: 'VmHWM' | 'VmRSS'): Promise<number | null> {
  const session = await browser.newBrowserCDPSession();
  const { processInfo } = await session.send('SystemInfo.getProcessInfo');
  await session.detach();
  const sizes = processInfo
    .filter((process) => process.type === 'renderer')
    .map((process) => `/proc/${process.id}/status`)
    .filter((path) => existsSync(path))
    .map((path) => Number(new RegExp(`${field}:\\s+(\\d+) kB`).exec(readFileSync(path, 'utf8'))?.[1]))
    .filter((kib) => Number.isFinite(kib));
  return sizes.length === 0 ? null : Math.max(...sizes) / 1024;
}

function addToPage(text: string): void {
  const path = join(ROOT, 'docs', 'performance.md');
  const intro = '# Speed\n\nWritten by `npm run bench -- CLIP --write`, newest first. Compare only within one table: machines differ.\n';
  const before = existsSync(path) ? readFileSync(path, 'utf8') : intro;
  const at = before.indexOf('\n## ');
  const head = at === -1 ? before.trimEnd() : before.slice(0, at).trimEnd();
  const tail = at === -1 ? '' : before.slice(at);
  writeFileSync(path, `${head}\n\n${text.trimEnd()}\n${tail}`);
}

function whole(value: number | null): string {
  return value === null ? 'not known' : value.toFixed(0);
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = Math.floor(sorted.length / 2);
  const upper = sorted[middle] ?? Number.NaN;
  return sorted.length % 2 === 1 ? upper : ((sorted[middle - 1] ?? Number.NaN) + upper) / 2;
}
