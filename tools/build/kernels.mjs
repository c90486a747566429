import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import asc from 'assemblyscript/asc';

const SOURCE = 'kernels.as.ts';
const FOLDER = fileURLToPath(new URL('../../workers/pose/network/', import.meta.url));

/** The compiled kernels: fused has relaxed SIMD's fused multiply–adds, plain has SIMD alone. */
export async function compileKernels(build) {
  const features = build === 'fused' ? 'simd,relaxed-simd' : 'simd';
  const files = new Map();
  const { error, stderr } = await asc.main(
    [SOURCE, '--baseDir', FOLDER, '--outFile', `${build}.wasm`, '--enable', features, '-O3', '--noAssert', '--runtime', 'stub', '--importMemory', '--initialMemory', '1'],
    { writeFile: (name, contents) => { files.set(name, contents); } },
  );
  const bytes = files.get(`${build}.wasm`);
  if (error !== null || bytes === undefined) throw new Error(`the kernels do not compile: ${error?.message ?? ''}\n${stderr.toString()}`);
  return bytes;
}

/** Writes workers/pose/network/kernels-fused.wasm and kernels-plain.wasm: npm run kernels */
if (process.argv[1] === fileURLToPath(import.meta.url)) {
  for (const build of ['fused', 'plain']) writeFileSync(`${FOLDER}kernels-${build}.wasm`, await compileKernels(build));
}
