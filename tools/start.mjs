// npm start: installs if needed, builds, serves the app on this computer only, prints the address.
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { installIfStale } from './build/install-if-stale.mjs';
import { serveFolder } from './serve/static-server.mjs';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const FIRST_PORT = 4173;

if (!nodeIsNewEnough()) {
  console.error(`Lungeline needs Node 20.19 or newer; this is ${process.version}.`);
  process.exit(1);
}
installIfStale();
console.log('Building …');
const build = spawnSync(process.execPath, [join(ROOT, 'node_modules', 'vite', 'bin', 'vite.js'), 'build', '--logLevel', 'warn'], {
  cwd: ROOT,
  stdio: ['ignore', 'inherit', 'inherit'],
});
if (build.status !== 0) process.exit(build.status ?? 1);
const server = await serveOnFreePort();
console.log(`\nLungeline is ready: ${server.address}\nIt runs on this computer only. Stop it with Ctrl+C.`);

function nodeIsNewEnough() {
  const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
  return major > 20 || (major === 20 && minor >= 19);
}

/** The usual port, else any free one. */
async function serveOnFreePort() {
  const asked = Number(process.env['PORT'] ?? FIRST_PORT);
  try {
    return await serveFolder(join(ROOT, 'dist'), asked);
  } catch (error) {
    if (error.code !== 'EADDRINUSE') throw error;
    return serveFolder(join(ROOT, 'dist'), 0);
  }
}
