// Runs a TypeScript command on Node: node tools/run.mjs tools/measure/main.ts [arguments]
import { runnerImport } from 'vite';
import { fileURLToPath } from 'node:url';

const [script, ...rest] = process.argv.slice(2);
if (script === undefined) throw new Error('name the command to run');
const root = fileURLToPath(new URL('..', import.meta.url));
const { module } = await runnerImport(`/${script}`, { root, configFile: false, logLevel: 'error' });
process.exitCode = await module.main(rest);
