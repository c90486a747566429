import { graphicsBackends, startBackend } from './backend.ts';
import type { Backend } from './contract.ts';
import { seerByKernels } from './find-by-kernels.ts';
import { seerByPackage } from './find-by-package.ts';
import { FINDER_FILES, JOINT_HEAD_FILES, KERNEL_FILES, LANDMARK_MODEL_FILES } from './model-files.ts';
import { peopleFinder, type PeopleFinder } from './people-finder.ts';
import { cropSampler } from './pose/kernel-sampler.ts';
import { loadLandmarkModel, type LandmarkModel, type LandmarkModelSize } from './pose/landmark-model.ts';
import { loadKernels, type KernelBuild } from './pose/network/load-kernels.ts';
import { storedModel } from './pose/network/stored-model.ts';
import { distanceFromReference, loadReferencePicture, REFERENCE_CROP, SELF_TEST_PX } from './reference-picture.ts';
import { poolSize, workersFor } from '../src/bridge/pool-size.ts';
import { failure, success, type Outcome } from '../src/units/outcome.ts';

/** Timed runs by which the faster backend is chosen, after one that warms up. */
const TIMED_RUNS = 10;

/** Models that are loaded on a backend that runs. */
export interface PreparedModels {
  readonly backend: Backend;
  readonly model: LandmarkModel;
}

let finder: { readonly backend: Backend; readonly finder: PeopleFinder } | null = null;
let prepared: PreparedModels | null = null;
let build: Promise<KernelBuild | null> | null = null;
/** What was chosen for each model size in this worker's life; a backend that failed is never chosen again. */
const chosen = new Map<LandmarkModelSize, Backend>();
/** Ways to the graphics card that failed while measuring. */
const broken = new Set<Backend>();

/**
 * The models on the backend asked for, or with null on the fastest one that is correct: a graphics card only when it is a
 * real one, only when it gives the stored landmarks within 2 px, and only when a clip runs faster there than on wasm.
 * They stay loaded for the next clip.
 */
export async function prepareModels(size: LandmarkModelSize, wanted: Backend | null): Promise<Outcome<PreparedModels>> {
  const backend = wanted ?? chosen.get(size) ?? (await choose(size));
  if (prepared !== null && prepared.backend === backend && prepared.model.size === size) return success(prepared);
  const loaded = await load(size, backend);
  if (!loaded.ok) return loaded;
  if (backend !== 'wasm' && !(await isCorrect(loaded.value.model))) {
    loaded.value.model.dispose();
    return failure({ kind: 'backend-unavailable', tried: [backend] });
  }
  prepared?.model.dispose();
  prepared = { backend, model: loaded.value.model };
  if (wanted === null) chosen.set(size, backend);
  return success(prepared);
}

/** The people finder on the backend that runs; call it after prepareModels. It stays loaded for the next clip. */
export async function prepareFinder(): Promise<PeopleFinder> {
  if (prepared === null) throw new TypeError('no backend runs yet');
  if (finder?.backend === prepared.backend) return finder.finder;
  finder?.finder.dispose();
  finder = { backend: prepared.backend, finder: await loadFinder(prepared) };
  return finder.finder;
}

/** Never chooses the graphics backend in use again in this worker, because it failed while measuring; which one, null when none was in use. */
export function giveUpGraphics(): Backend | null {
  if (prepared === null || prepared.backend === 'wasm') return null;
  const { backend } = prepared;
  broken.add(backend);
  chosen.clear();
  prepared = null;
  finder = null;
  return backend;
}

async function choose(size: LandmarkModelSize): Promise<Backend> {
  const pool = poolSize(navigator);
  for (const backend of await graphicsBackends()) {
    if (broken.has(backend)) continue;
    const cardMs = await timeBackend(size, backend);
    if (cardMs === null) continue;
    const wasmMs = await timeBackend(size, 'wasm');
    // What counts is the clip: on the processor more workers may share it.
    return wasmMs !== null && wasmMs / workersFor('wasm', pool) <= cardMs / workersFor(backend, pool) ? 'wasm' : backend;
  }
  return 'wasm';
}

/** Median milliseconds of a frame on a backend, null where it does not start or gives wrong landmarks. */
async function timeBackend(size: LandmarkModelSize, backend: Backend): Promise<number | null> {
  try {
    const loaded = await load(size, backend);
    if (!loaded.ok) return null;
    const { model } = loaded.value;
    try {
      const picture = await loadReferencePicture();
      // The first run compiles; it is also the one that must be right.
      const first = await model.run(picture, REFERENCE_CROP);
      if (!(distanceFromReference(size, first.stockXy) <= SELF_TEST_PX)) return null;
      const times: number[] = [];
      for (let run = 0; run < TIMED_RUNS; run += 1) {
        const started = performance.now();
        await model.run(picture, REFERENCE_CROP);
        times.push(performance.now() - started);
      }
      times.sort((a, b) => a - b);
      return times[TIMED_RUNS / 2] ?? null;
    } finally {
      model.dispose();
    }
  } catch {
    // A graphics driver may fail in any way; then this backend is simply not used.
    return null;
  }
}

async function load(size: LandmarkModelSize, backend: Backend): Promise<Outcome<{ readonly model: LandmarkModel }>> {
  const jointHead = size === 'full' ? JOINT_HEAD_FILES : null;
  const files = LANDMARK_MODEL_FILES[size];
  const kernels = await kernelBuild();
  if (kernels !== null && backend === 'wasm') {
    const model = await loadLandmarkModel(size, files, { jointHead, kernels });
    if (await isCorrect(model)) return success({ model });
    // A browser whose arithmetic the kernels do not suit gets the tensor library's, from now on.
    model.dispose();
    build = Promise.resolve(null);
  }
  const started = await startBackend(backend);
  if (!started.ok) return started;
  return success({ model: await loadLandmarkModel(size, files, { jointHead, kernels: await kernelBuild(), onTensors: true }) });
}

async function loadFinder({ model }: PreparedModels): Promise<PeopleFinder> {
  const [kernels, stored] = await Promise.all([kernelBuild(), storedModel(FINDER_FILES)]);
  const seer = kernels === null || model.means === 'tensors' ? await seerByPackage(stored) : seerByKernels(kernels.start(), stored);
  return peopleFinder(seer, cropSampler(kernels));
}

/** The kernels, compiled once for all that run in this worker; null where the browser takes none. */
export function kernelBuild(): Promise<KernelBuild | null> {
  build ??= loadKernels(KERNEL_FILES).catch((error: unknown) => {
    // A file that did not come is asked for again the next time.
    build = null;
    throw error;
  });
  return build;
}

async function isCorrect(model: LandmarkModel): Promise<boolean> {
  try {
    const reading = await model.run(await loadReferencePicture(), REFERENCE_CROP);
    return distanceFromReference(model.size, reading.stockXy) <= SELF_TEST_PX;
  } catch {
    return false;
  }
}
