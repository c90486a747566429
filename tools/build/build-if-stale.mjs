// Builds the app when the built one is missing or older than its sources.
import { spawnSync } from 'node:child_process';
import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const SOURCES = ['index.html', 'measure.html', 'vite.config.ts', 'package.json', 'src', 'workers', 'public', 'tools/measure', 'tools/bench'];

/** Milliseconds since 1970 of the newest file under a path, 0 when there is none. */
function newest(path) {
  const facts = statSync(path, { throwIfNoEntry: false });
  if (facts === undefined) return 0;
  if (!facts.isDirectory()) return facts.mtimeMs;
  return readdirSync(path).reduce((last, name) => Math.max(last, newest(join(path, name))), 0);
}

/** Runs `vite build` if any source is newer than the built page. Throws when the build fails. */
export function buildIfStale() {
  const built = statSync(join(ROOT, 'dist', 'measure.html'), { throwIfNoEntry: false });
  const changed = SOURCES.reduce((last, name) => Math.max(last, newest(join(ROOT, name))), 0);
  if (built !== undefined && built.mtimeMs >= changed) return;
  const build = spawnSync(process.execPath, [join(ROOT, 'node_modules', 'vite', 'bin', 'vite.js'), 'build', '--logLevel', 'warn'], {
    cwd: ROOT,
    // A test run sets NODE_ENV to "test", and the bundler would keep it: the page would be built for development.
    env: { ...process.env, NODE_ENV: 'production' },
    stdio: ['ignore', 'inherit', 'inherit'],
  });
  if (build.status !== 0) throw new Error('the build failed');
}
