import { existsSync, rmSync } from 'node:fs';

const TRIES = 50;
const BETWEEN_MS = 100;

/** Takes away the profile of a browser that has ended. Its other processes end a moment later, and may still write meanwhile: it is tried again for five seconds. */
export async function removeProfile(folder: string): Promise<void> {
  for (let tries = 0; existsSync(folder) && tries < TRIES; tries += 1) {
    await new Promise((resolve) => setTimeout(resolve, BETWEEN_MS));
    try {
      rmSync(folder, { recursive: true, force: true });
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'ENOTEMPTY') throw error;
    }
  }
}
