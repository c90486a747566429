import { existsSync, readFileSync } from 'node:fs';
import type { Browser } from 'playwright-core';

/** Memory of the page's process, MiB; NaN where the system does not tell. */
export interface Memory {
  /** Its own, without the browser's code that all its processes share. */
  readonly own: number;
  /** All that is resident, that code included. */
  readonly resident: number;
}

/** The memory of the page's process now; of the largest one, where there are several. */
export async function pageMemory(browser: Browser): Promise<Memory> {
  return memoryOf(await rendererIds(browser));
}

/** Looks at the memory of the page's process five times a second until it is ended; the end gives the highest values. */
export async function watchPageMemory(browser: Browser): Promise<() => Memory> {
  const ids = await rendererIds(browser);
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

async function rendererIds(browser: Browser): Promise<readonly number[]> {
  const session = await browser.newBrowserCDPSession();
  const { processInfo } = await session.send('SystemInfo.getProcessInfo');
  await session.detach();
  return processInfo.filter((process) => process.type === 'renderer').map((process) => process.id);
}

/** Memory of the largest of some processes, as Linux tells it. */
function memoryOf(ids: readonly number[]): Memory {
  const all = ids.map((id): Memory => {
    const path = `/proc/${id}/status`;
    const text = existsSync(path) ? readFileSync(path, 'utf8') : '';
    const mib = (field: string): number => Number(new RegExp(`${field}:\\s+(\\d+) kB`).exec(text)?.[1] ?? Number.NaN) / 1024;
    return { own: mib('RssAnon') + mib('RssShmem'), resident: mib('VmRSS') };
  });
  const known = all.filter((one) => !Number.isNaN(one.resident));
  return known.reduce((most, one) => (one.resident > most.resident ? one : most), known[0] ?? { own: Number.NaN, resident: Number.NaN });
}
