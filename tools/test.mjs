// npm test: installs if needed, finds or installs a browser, then types, lint, unit tests, build, browser tests.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { findBrowser } from './browser/find-browser.mjs';
import { installIfStale } from './build/install-if-stale.mjs';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const bin = (...path) => join(ROOT, 'node_modules', ...path);
const reports = mkdtempSync(join(tmpdir(), 'lungeline-test-'));

installIfStale();
if (findBrowser() === null) installBrowser();

const steps = [
  ['types of the app', [bin('typescript', 'bin', 'tsc'), '-p', 'src']],
  ['types of the core', [bin('typescript', 'bin', 'tsc'), '-p', 'src/tsconfig.core.json']],
  ['types of the workers', [bin('typescript', 'bin', 'tsc'), '-p', 'workers']],
  ['types of tests and tools', [bin('typescript', 'bin', 'tsc'), '-p', 'tests']],
  ['lint', [bin('eslint', 'bin', 'eslint.js'), '.']],
  ['rules and views', vitest('unit')],
  ['build', [bin('vite', 'bin', 'vite.js'), 'build', '--logLevel', 'warn']],
  ['browser', vitest('browser')],
];

let passed = 0;
let failed = 0;
for (const [name, command] of steps) {
  console.log(`\n— ${name}`);
  const started = Date.now();
  const { status } = spawnSync(process.execPath, command, { cwd: ROOT, stdio: 'inherit' });
  const report = command.find((argument) => argument.startsWith('--outputFile.json='));
  const counts = report === undefined ? null : readCounts(report.slice('--outputFile.json='.length));
  // A step without countable tests, or one that died before it could count, is one check by itself.
  passed += counts?.passed ?? (status === 0 ? 1 : 0);
  failed += counts?.failed ?? 0;
  if (status !== 0 && (counts === null || counts.failed === 0)) failed += 1;
  console.log(`— ${name}: ${status === 0 ? 'passed' : 'FAILED'}, ${((Date.now() - started) / 1000).toFixed(0)} s`);
}
rmSync(reports, { recursive: true, force: true });
console.log(`\n${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);

function vitest(project) {
  return [
    bin('vitest', 'vitest.mjs'), 'run', '--project', project,
    '--reporter=default', '--reporter=json', `--outputFile.json=${join(reports, `${project}.json`)}`,
  ];
}

function readCounts(path) {
  try {
    const { numPassedTests, numFailedTests, numFailedTestSuites } = JSON.parse(readFileSync(path, 'utf8'));
    // A file that cannot even be loaded holds no failed test; it fails as a suite.
    return { passed: numPassedTests, failed: Math.max(numFailedTests, numFailedTestSuites > 0 ? 1 : 0) };
  } catch {
    return null;
  }
}

/** Debian and its kin, as root only; elsewhere a plain sentence. */
function installBrowser() {
  const isRoot = process.getuid?.() === 0;
  if (process.platform === 'linux' && isRoot) {
    console.log('Installing Chromium …');
    const quiet = { stdio: ['ignore', 'inherit', 'inherit'], env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } };
    spawnSync('apt-get', ['update', '-qq'], quiet);
    spawnSync('apt-get', ['install', '-y', '-qq', '--no-install-recommends', 'chromium'], quiet);
  }
  if (findBrowser() === null) {
    console.error('No Chromium or Chrome found. Install one, or name it in CHROMIUM_PATH; then run npm test again.');
    process.exit(1);
  }
}
