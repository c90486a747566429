import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Truth } from './truth-reading.ts';

/** The truth of one of our own rendered clips, in fixtures/clips unless another folder of fixtures is named. */
export function readTruthFile(name: string, folder: 'clips' | 'harder-clips' = 'clips'): Truth {
  const path = join(import.meta.dirname, '../../fixtures', folder, `${name}.truth.json`);
  return JSON.parse(readFileSync(path, 'utf8')) as Truth;
}
