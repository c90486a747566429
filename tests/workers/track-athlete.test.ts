import { describe, expect, it } from 'vitest';
import type { LandmarkModel, LandmarkReading } from '../../workers/pose/landmark-model.ts';
import type { Crop, PictureBox } from '../../workers/pose/crop.ts';
import type { Picture } from '../../workers/pose/picture.ts';
import { AthleteTracker, readFromBox } from '../../workers/track-athlete.ts';

const PICTURE: Picture = {
  format: 'I420', codedWidth: 4, codedHeight: 4, bytes: new Uint8Array(24), layout: [], matrix: 'bt709', range: 'limited', rotationDeg: 0, widthPx: 4, heightPx: 4,
};
const BOX: PictureBox = { x: 100, y: 50, width: 80, height: 200 };

/** A model that sees somebody in every region, each time a hundredth larger; `runs` holds the regions read. */
function seeing(poseScore: number): { readonly model: LandmarkModel; readonly runs: Crop[] } {
  const runs: Crop[] = [];
  const run = (_picture: Picture, crop: Crop): Promise<LandmarkReading> => {
    runs.push(crop);
    const xy = new Float32Array(66).fill(crop.sidePx);
    return Promise.resolve({
      poseScore, xy, stockXy: xy, score: new Float32Array(33).fill(1), sd: new Float32Array(33),
      hipCentre: { x: crop.centreX, y: crop.centreY }, scalePoint: { x: crop.centreX, y: crop.centreY - crop.sidePx },
      nextCrop: { ...crop, sidePx: crop.sidePx * 1.01 },
    });
  };
  const model = { size: 'full', id: 'seen', means: 'tensors', multiplyAdds: 0, run, runAll: () => Promise.reject(new Error('not asked')), dispose: () => undefined } as const;
  return { model, runs };
}

describe('a tracker that begins from a box', () => {
  it('reads the region three times in the first picture and once in the next', async () => {
    const { model, runs } = seeing(0.9);
    const tracker = new AthleteTracker(model, { sightings: [{ t: 0, box: BOX, score: 1 }] });
    await tracker.read(PICTURE, 0);
    expect(runs).toHaveLength(3);
    await tracker.read(PICTURE, 0.1);
    expect(runs).toHaveLength(4);
  });

  it('goes on from a reading made of the same box at the same time, with the same numbers and no new reading', async () => {
    const first = seeing(0.9);
    const reading = await readFromBox(first.model, PICTURE, BOX);
    if (reading === null) throw new Error('nobody seen');
    const path = { sightings: [{ t: 0, box: BOX, score: 1 }] };
    const alone = new AthleteTracker(first.model, path);
    const { model, runs } = seeing(0.9);
    const begun = new AthleteTracker(model, path, null, { t: 0, box: BOX, modelId: model.id, reading });
    expect(await begun.read(PICTURE, 0)).toEqual(await alone.read(PICTURE, 0));
    expect(runs).toHaveLength(0);
    expect(await begun.read(PICTURE, 0.1)).toEqual(await alone.read(PICTURE, 0.1));
  });

  it.each([
    ['at another time', 0.5, BOX, 'seen'],
    ['of another box', 0, { ...BOX, x: 101 }, 'seen'],
    ['by another model', 0, BOX, 'other'],
  ])('reads for itself when that was made %s', async (_what, t, box, modelId) => {
    const reading = await readFromBox(seeing(0.9).model, PICTURE, box);
    if (reading === null) throw new Error('nobody seen');
    const { model, runs } = seeing(0.9);
    const tracker = new AthleteTracker(model, { sightings: [{ t: 0, box: BOX, score: 1 }] }, null, { t, box, modelId, reading });
    await tracker.read(PICTURE, 0);
    expect(runs).toHaveLength(3);
  });

  it('sees nobody below a score of 0.5, and below 0.25 does not read again', async () => {
    const unsure = seeing(0.49);
    expect(await readFromBox(unsure.model, PICTURE, BOX)).toBeNull();
    expect(unsure.runs).toHaveLength(3);
    const nobody = seeing(0.24);
    expect(await readFromBox(nobody.model, PICTURE, BOX)).toBeNull();
    expect(nobody.runs).toHaveLength(1);
  });
});
