// npm run kernels: compiles workers/pose/network/kernels.as.ts to kernels-fused.wasm (with relaxed SIMD's fused
// multiply–adds) and kernels-plain.wasm (SIMD alone). With --check it writes nothing and fails where a file differs.
// No TypeScript program may see this file: the compiler's types declare parts of the language anew.
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import asc from 'assemblyscript/asc';

const FOLDER = fileURLToPath(new URL('../../workers/pose/network/', import.meta.url));
const FEATURES = { fused: 'simd,relaxed-simd', plain: 'simd' };

async function compiled(build) {
  const files = new Map();
  const { error, stderr } = await asc.main(
    ['kernels.as.ts', '--baseDir', FOLDER, '--outFile', `${build}.wasm`, '--enable', FEATURES[build], '-O3', '--noAssert', '--runtime', 'stub', '--importMemory', '--initialMemory', '1'],
    { writeFile: (name, contents) => { files.set(name, contents); } },
  );
  const bytes = files.get(`${build}.wasm`);
  if (error !== null || bytes === undefined) throw new Error(`the kernels do not compile: ${error?.message ?? ''}\n${stderr.toString()}`);
  return bytes;
}

for (const build of Object.keys(FEATURES)) {
  const path = `${FOLDER}kernels-${build}.wasm`;
  const bytes = await compiled(build);
  if (!process.argv.includes('--check')) writeFileSync(path, bytes);
  else if (!readFileSync(path).equals(Buffer.from(bytes))) {
    console.error(`kernels-${build}.wasm is not what kernels.as.ts compiles to: npm run kernels`);
    process.exitCode = 1;
  }
}
