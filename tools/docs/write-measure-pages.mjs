// Writes docs/measures from the code: node tools/docs/write-measure-pages.mjs
import { mkdirSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { runnerImport } from 'vite';

const { module } = await runnerImport(fileURLToPath(new URL('./measure-pages.ts', import.meta.url)), { logLevel: 'error' });
const folder = new URL('../../docs/measures/', import.meta.url);
mkdirSync(folder, { recursive: true });
const files = module.measureDocs();
for (const old of readdirSync(folder)) if (!files.some((file) => file.name === old)) rmSync(new URL(old, folder));
for (const file of files) writeFileSync(new URL(file.name, folder), file.text);
