import { expose } from 'comlink';
import type { AnalysisWorker } from './contract.ts';
import { findInClip } from './find-in-clip.ts';
import { followAthlete, stopFollowing } from './follow-athlete.ts';
import { openClip } from './open-clip.ts';
import { prepareModels } from './prepare-models.ts';
import { takeStills } from './take-stills.ts';
import { success } from '../src/units/outcome.ts';

const worker: AnalysisWorker = {
  async inspect(file) {
    const opened = await openClip(file);
    if (!opened.ok) return opened;
    opened.value.input.dispose();
    return success(opened.value.info);
  },
  async warmUp(model, backend) {
    // A failure shows again, as a value, when the work itself begins.
    await prepareModels(model, backend);
  },
  find: findInClip,
  follow: followAthlete,
  stopFollowing,
  stills: takeStills,
};

expose(worker);
