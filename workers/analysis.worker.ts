import { expose } from 'comlink';
import { clipInWork } from './clip-in-work.ts';
import type { AnalysisWorker } from './contract.ts';
import { followAthlete, stopFollowing, stopWhereAgreeing } from './follow-athlete.ts';
import { machineLimit } from './machine-limit.ts';
import { lookForPeople } from './look-for-people.ts';
import { keyFramesOf, openClip } from './open-clip.ts';
import { prepareFinder, prepareModels } from './prepare-models.ts';
import { takeSample } from './take-sample.ts';
import { takeStills } from './take-stills.ts';
import { success } from '../src/units/outcome.ts';

const worker: AnalysisWorker = {
  async inspect(file) {
    const opened = await openClip(file);
    if (!opened.ok) return opened;
    opened.value.input.dispose();
    return success(opened.value.info);
  },
  async open(clipId, file) {
    const opened = await clipInWork(clipId, file);
    if (!opened.ok) return opened;
    const { info, frames } = opened.value;
    return success({ clip: info, times: Float64Array.from(frames, ({ t }) => t), keyFrames: keyFramesOf(opened.value) });
  },
  async prepare(model, backend) {
    const prepared = await prepareModels(model, backend);
    if (!prepared.ok) return prepared;
    await prepareFinder();
    return success(prepared.value.backend);
  },
  look: lookForPeople,
  follow: followAthlete,
  stopFollowing,
  stopWhereAgreeing,
  limit: machineLimit,
  stills: takeStills,
  sample: takeSample,
};

expose(worker);
