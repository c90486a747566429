/** Most workers that share one clip (chosen: each holds its own copy of the model, about 100 MiB). */
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
