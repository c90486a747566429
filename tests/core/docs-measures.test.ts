import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { bandText } from '../../src/cues/index.ts';
import { lengthLoss, outOfPlaneScaleError, seenLeanDeg, worstAngleErrorDeg } from '../../src/geometry/index.ts';
import { MEASURE_IDS } from '../../src/shapes/measure.ts';
import { START_IDS } from '../../src/starts/start.ts';
import { applies, defaultTolerance, MEASURE_STARTS } from '../../src/tolerances/index.ts';
import { durationSdS } from '../../src/units/frame-timing.ts';
import { measurePicture } from '../../tools/docs/measure-picture.ts';
import { measureDocs, pageName } from '../../tools/docs/measure-pages.ts';
import { toleranceText } from '../../tools/docs/tolerance-page.ts';

const FOLDER = new URL('../../docs/measures/', import.meta.url);
const page = (name: string): string => readFileSync(new URL(name, FOLDER), 'utf8');

describe('docs/measures', () => {
  test('holds exactly what the code writes (run: node tools/run.mjs tools/docs/write-docs.ts)', () => {
    const files = measureDocs();
    expect(readdirSync(FOLDER).sort()).toEqual(files.map((file) => file.name).sort());
    for (const file of files) expect(page(file.name), file.name).toBe(file.text);
    expect(page('../tolerances.md')).toBe(toleranceText());
  });

  test.each(MEASURE_IDS)('%s has its page, which names it, quotes every default band, and has a picture beside it', (id) => {
    const text = page(`${pageName(id)}.md`);
    expect(text).toContain(`\`${id}\``);
    expect(text).toContain(`(${pageName(id)}.svg)`);
    expect(page(`${pageName(id)}.svg`)).toMatch(/^<svg [\s\S]*<\/svg>\n$/);
    for (const start of MEASURE_STARTS[id]) {
      const { band, unit } = defaultTolerance(start, id);
      if (band === null) expect(text).toContain('shown, not scored');
      else if (unit !== 'side') expect(text).toContain(`| ${bandText(band, unit)} |`);
    }
  });

  test('pages name no test file and no page that does not exist', () => {
    for (const name of readdirSync(FOLDER).filter((file) => file.endsWith('.md'))) {
      for (const [, path] of page(name).matchAll(/\b(tests\/[\w/.-]+\.ts)/g)) expect(existsSync(new URL(`../../${path ?? ''}`, import.meta.url)), `${name}: ${path}`).toBe(true);
      for (const [, path] of page(name).matchAll(/\]\(([^)#:]+)\)/g)) expect(existsSync(new URL(path ?? '', FOLDER)), `${name}: ${path}`).toBe(true);
    }
  });

  test('camera, blur and timing figures quoted on the pages are those of the code', () => {
    const knee = page('passe-knee.md');
    for (const [slant, figure] of [[10, '0.9°'], [20, '3.6°'], [30, '8.2°']] as const) {
      expect(`${worstAngleErrorDeg(90, slant).toFixed(1)}°`).toBe(figure);
      expect(knee).toContain(figure);
    }
    const lean = page('launch-trunk-lean.md');
    for (const [slant, figure] of [[15, '44.0°'], [20, '43.2°'], [30, '40.9°']] as const) {
      expect(`${seenLeanDeg(45, slant).toFixed(1)}°`).toBe(figure);
      expect(lean).toContain(figure);
    }
    const lunge = page('plant-lunge-ratio.md');
    for (const [slant, figure] of [[10, '1.5 %'], [20, '6.0 %']] as const) {
      expect(`${(100 * lengthLoss(slant)).toFixed(1)} %`).toBe(figure);
      expect(lunge).toContain(figure);
    }
    const steps = page('steps-length.md');
    for (const [metres, figure] of [[5, '3.1 %'], [8, '1.9 %']] as const) {
      expect(`${(100 * outOfPlaneScaleError(metres, 0.15)).toFixed(1)} %`).toBe(figure);
      expect(steps).toContain(figure);
    }
    const flight = page('hurdle-flight.md');
    for (const [fps, figure] of [[30, '13.6'], [60, '6.8'], [240, '1.7']] as const) {
      expect((1000 * durationSdS(1 / fps)).toFixed(1)).toBe(figure);
      expect(flight).toContain(figure);
    }
    // 5 m/s for 1/500 s and 1/100 s, in millimetres.
    expect([5000 / 500, 5000 / 100]).toEqual([10, 50]);
    expect(knee).toContain('1/500 s smears 10 mm, 1/100 s smears 50 mm');
  });

  test('the number in every picture of an angle or a length lies in the default band of one of its starts, or near it', () => {
    for (const id of MEASURE_IDS) {
      const { shown } = measurePicture(id);
      if (shown === null) continue;
      const value = Number.parseFloat(shown.replace('−', '-'));
      const reached = START_IDS.filter((start) => applies(start, id)).some((start) => {
        const { band, softMargin } = defaultTolerance(start, id);
        return band !== null && value >= band[0] - softMargin && value <= band[1] + softMargin;
      });
      expect(reached, `${id} ${shown}`).toBe(true);
    }
  });
});
