import { mkdirSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { measureDocs } from './measure-pages.ts';
import { toleranceText } from './tolerance-page.ts';

/** Writes docs/measures and docs/tolerances.md from the code: node tools/run.mjs tools/docs/write-docs.ts */
export function main(): Promise<number> {
  const folder = join('docs', 'measures');
  const files = measureDocs();
  mkdirSync(folder, { recursive: true });
  for (const old of readdirSync(folder)) if (!files.some((file) => file.name === old)) rmSync(join(folder, old));
  for (const file of files) writeFileSync(join(folder, file.name), file.text);
  writeFileSync(join('docs', 'tolerances.md'), toleranceText());
  return Promise.resolve(0);
}
