import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { CAUTIONS } from '../../src/cues/index.ts';
import { lengthLoss, outOfPlaneScaleError, worstAngleErrorDeg } from '../../src/geometry/index.ts';
import { MEASURE_IDS } from '../../src/shapes/measure.ts';
import { START_IDS, START_NAMES } from '../../src/starts/start.ts';
import { readToleranceFile, TOLERANCE_FORMAT, TOLERANCE_VERSION } from '../../src/tolerances/index.ts';
import { durationSdS } from '../../src/units/frame-timing.ts';

const ROOT = new URL('../../', import.meta.url);
const read = (path: string): string => readFileSync(new URL(path, ROOT), 'utf8');
const PAGES = ['README.md', 'DEVELOPERS.md', ...readdirSync(new URL('docs/', ROOT), { recursive: true, encoding: 'utf8' }).filter((name) => name.endsWith('.md')).map((name) => `docs/${name}`)].filter((path) => existsSync(new URL(path, ROOT)));

describe('docs', () => {
  test('every relative link of every page leads to a file', () => {
    for (const path of PAGES) {
      for (const [, target] of read(path).matchAll(/\]\((?!https?:)([^)#\s]+)[^)]*\)/g)) {
        expect(existsSync(new URL(target ?? '', new URL(path, ROOT))), `${path}: ${target}`).toBe(true);
      }
    }
  });

  test('every npm command of README and DEVELOPERS is in package.json, every code path that they name exists', () => {
    const scripts = Object.keys((JSON.parse(read('package.json')) as { scripts: Record<string, string> }).scripts);
    for (const path of ['README.md', 'DEVELOPERS.md']) {
      const text = read(path);
      for (const [, name] of text.matchAll(/npm run ([\w:]+)/g)) expect(scripts, `${path}: ${name}`).toContain(name);
      for (const [, target] of text.matchAll(/`((?:src|workers|tools|tests)\/[\w./-]+)`/g)) expect(existsSync(new URL(target ?? '', ROOT)), `${path}: ${target}`).toBe(true);
    }
    expect(scripts).toEqual(expect.arrayContaining(['start', 'test', 'types', 'lint', 'unit', 'browser']));
  });

  test('README counts the measures and names every start', () => {
    const text = read('README.md');
    expect(text).toContain(`**Measures**: ${MEASURE_IDS.length}, each`);
    for (const start of START_IDS) expect(text.toLowerCase()).toContain(START_NAMES[start].toLowerCase());
  });

  test('no page names a folder of somebody’s machine', () => {
    for (const path of PAGES) expect(read(path), path).not.toMatch(/(^|[\s`(])\/(home|work|tmp|root|Users)\//);
  });

  test('the example of the tolerance format reads as a profile, and names the current format and version', () => {
    const text = read('docs/tolerances-format.md');
    const example = /```json\n([\s\S]*?)```/.exec(text)?.[1] ?? '';
    const profile = readToleranceFile(example, 'example.json');
    expect(profile).toMatchObject({ ok: true, value: { format: TOLERANCE_FORMAT, version: TOLERANCE_VERSION, revision: 3 } });
  });

  test('docs/cautions.md quotes every caution of the app', () => {
    const text = read('docs/cautions.md');
    for (const caution of CAUTIONS) expect(text).toContain(caution.replace(' Clips stay on this device.', ''));
  });

  test('the filming guide quotes the figures of the code: slant, perspective, timing, and the limits of the worker', () => {
    const text = read('docs/files-and-phones.md');
    const figures = [
      `at 10° a right angle reads at most ${worstAngleErrorDeg(90, 10).toFixed(1)}° wrong and a length ${(100 * lengthLoss(10)).toFixed(1)} % short`,
      `at 20° ${worstAngleErrorDeg(90, 20).toFixed(1)}° and ${(100 * lengthLoss(20)).toFixed(1)} %`,
      `${(100 * outOfPlaneScaleError(5, 0.15)).toFixed(1)} % wrong at 5 m, ${(100 * outOfPlaneScaleError(8, 0.15)).toFixed(1)} % at 8 m`,
      ...[30, 60, 120, 240].map((fps) => `${(1000 * durationSdS(1 / fps)).toFixed(1)} ms at ${fps}`),
    ];
    for (const figure of figures) expect(text).toContain(figure);
    const limits = read('workers/open-clip.ts');
    expect(limits).toMatch(/MAX_FILE_BYTES = 4e9\b/);
    expect(read('workers/find-part.ts')).toMatch(/MAX_PART_S = 600\b/);
    expect(text).toContain('Up to 4 GB and 10 minutes');
  });
});
