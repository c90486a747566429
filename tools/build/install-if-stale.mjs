// Installs the pinned packages when they are missing or belong to another lock file.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const MODULES = join(ROOT, 'node_modules');
const MARK = join(MODULES, '.lungeline-lock-hash');

/** Runs `npm ci` if the packages do not match package-lock.json. Ends the process when that fails. */
export function installIfStale() {
  const wanted = createHash('sha256').update(readFileSync(join(ROOT, 'package-lock.json'))).digest('hex');
  if (existsSync(MARK) && readFileSync(MARK, 'utf8') === wanted) return;
  if (existsSync(join(MODULES, 'vite')) && !existsSync(MARK) && isComplete()) {
    writeFileSync(MARK, wanted);
    return;
  }
  console.log('Installing packages …');
  const npm = process.env['npm_execpath'];
  const [command, first] = npm === undefined ? ['npm', []] : [process.execPath, [npm]];
  const install = spawnSync(command, [...first, 'ci', '--no-audit', '--no-fund', '--loglevel=error'], {
    cwd: ROOT,
    stdio: ['ignore', 'inherit', 'inherit'],
    shell: npm === undefined && process.platform === 'win32',
  });
  if (install.status !== 0) process.exit(install.status ?? 1);
  writeFileSync(MARK, wanted);
}

/** True when npm's own record of what it installed holds the same packages as the lock file. */
function isComplete() {
  const record = join(MODULES, '.package-lock.json');
  if (!existsSync(record)) return false;
  const versions = (path) => {
    const { packages } = JSON.parse(readFileSync(path, 'utf8'));
    return new Map(Object.entries(packages).filter(([name]) => name !== '').map(([name, entry]) => [name, entry]));
  };
  const installed = versions(record);
  for (const [name, entry] of versions(join(ROOT, 'package-lock.json'))) {
    if (entry.optional === true) continue;
    if (installed.get(name)?.version !== entry.version) return false;
  }
  return true;
}
