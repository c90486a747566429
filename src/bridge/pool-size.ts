import type { Backend } from '../../workers/contract.ts';

/**
 * Most workers that share one clip. On eight cores 2, 3 and 4 took 6.1, 5.2 and 4.2 s for 174 frames, more no less; but each
 * holds its own models, and with a fourth the page's memory passed 500 MiB (docs/performance.md).
 */
const MOST_WORKERS = 3;

/**
 * How many workers may share the frames of a clip, 1 to 3: one core is left for the page where there are more than two.
 * With two cores both work, since the page itself is idle meanwhile.
 */
export function poolSize(machine: { readonly hardwareConcurrency?: number; readonly deviceMemory?: number }): number {
  const cores = machine.hardwareConcurrency ?? 1;
  // Gibibytes, told by some browsers only; a small phone keeps one model.
  if (machine.deviceMemory !== undefined && machine.deviceMemory < 2) return 1;
  return Math.max(1, Math.min(MOST_WORKERS, cores <= 2 ? cores : cores - 1));
}

/** Most workers that share one graphics card: while one samples the next picture, the card works for the other. */
const MOST_ON_A_CARD = 2;

/** How many of a pool's workers share a clip on a backend, at least 1. */
export function workersFor(backend: Backend, pool: number): number {
  return backend === 'wasm' ? pool : Math.min(pool, MOST_ON_A_CARD);
}
