import { existsSync, readFileSync } from 'node:fs';

/** Memory of a process, MiB; NaN where the system does not tell. */
export interface Memory {
  /** Its own, without the browser's code that all its processes share. */
  readonly own: number;
  /** All that is resident, that code included. */
  readonly resident: number;
}

/** The memory of the largest of some processes now, as Linux tells it. */
export function memoryOf(ids: readonly number[]): Memory {
  const all = ids.map((id): Memory => {
    const path = `/proc/${id}/status`;
    const text = existsSync(path) ? readFileSync(path, 'utf8') : '';
    const mib = (field: string): number => Number(new RegExp(`${field}:\\s+(\\d+) kB`).exec(text)?.[1] ?? Number.NaN) / 1024;
    return { own: mib('RssAnon') + mib('RssShmem'), resident: mib('VmRSS') };
  });
  const known = all.filter((one) => !Number.isNaN(one.resident));
  return known.reduce((most, one) => (one.resident > most.resident ? one : most), known[0] ?? { own: Number.NaN, resident: Number.NaN });
}

/** Looks at the largest of some processes five times a second until it is ended; the end gives the highest values. */
export function watchMemory(ids: readonly number[]): () => Memory {
  let peak: Memory = { own: Number.NaN, resident: Number.NaN };
  const look = (): void => {
    const now = memoryOf(ids);
    peak = { own: Math.max(now.own, Number.isNaN(peak.own) ? 0 : peak.own), resident: Math.max(now.resident, Number.isNaN(peak.resident) ? 0 : peak.resident) };
  };
  const timer = setInterval(look, 200);
  return () => {
    clearInterval(timer);
    return peak;
  };
}
