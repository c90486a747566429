import { expose } from 'comlink';
import { readClip, type Readable } from '../src/reading/read-clip.ts';
import type { Overrides, Reading } from '../src/reading/reading.ts';
import type { Profile } from '../src/tolerances/schema.ts';

/** Tracks held at once; chosen: the clips of a session in hand, about 0.1 MiB each. */
const MOST_TRACKS = 12;

/** Reads tracks beside the page, called through Comlink. */
export interface ReadingWorker {
  /** Everything about one rep; `track` is taken first where it is given. Null when the track of this number is not held (any more): send it along. */
  read(trackId: number, track: Readable | null, overrides: Overrides, profile: Profile): Reading | null;
}

const held = new Map<number, Readable>();

const worker: ReadingWorker = {
  read(trackId, track, overrides, profile) {
    const readable = track ?? held.get(trackId);
    if (readable === undefined) return null;
    // Put in last: the first of the map is the one that rested longest.
    held.delete(trackId);
    held.set(trackId, readable);
    for (const oldest of held.keys()) {
      if (held.size <= MOST_TRACKS) break;
      held.delete(oldest);
    }
    return readClip(readable, overrides, profile);
  },
};

expose(worker);
