import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Plugin } from 'vite';

const TEMPLATE = fileURLToPath(new URL('./offline-worker.js', import.meta.url));

/** Not fetched ahead: models and backends that the app does not choose by itself, and the page of the batch command. They are kept once they were used. */
const LEFT_OUT = [/^measure\.html$/, /\/blazepose-(heavy|lite)-/, /\/tfjs-backend-wasm-[\w-]{8}\.wasm$/, /\/tfjs-backend-wasm-threaded-simd-/, /^assets\/measure-/];

/** Writes the worker that keeps the program on the device (offline.js) into the finished build, with the list of its files. */
export function keepOffline(): Plugin {
  let folder = '';
  return {
    name: 'keep-offline',
    apply: 'build',
    configResolved(config) {
      folder = config.build.outDir.startsWith('/') ? config.build.outDir : join(config.root, config.build.outDir);
    },
    closeBundle() {
      const all = readdirSync(folder, { recursive: true, withFileTypes: true })
        .filter((entry) => entry.isFile())
        .map((entry) => relative(folder, join(entry.parentPath, entry.name)).split(sep).join('/'))
        .filter((file) => file !== 'offline.js')
        .sort();
      if (!all.includes('index.html')) return;
      const hash = createHash('sha256');
      for (const file of all) hash.update(file).update(file.startsWith('assets/') ? '' : readFileSync(join(folder, file)));
      const files = all.filter((file) => !LEFT_OUT.some((pattern) => pattern.test(file))).map((file) => (file === 'index.html' ? './' : file));
      const worker = readFileSync(TEMPLATE, 'utf8').replace('__VERSION__', hash.digest('hex').slice(0, 16)).replace('__FILES__', JSON.stringify(files));
      writeFileSync(join(folder, 'offline.js'), worker);
    },
  };
}
