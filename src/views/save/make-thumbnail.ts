import type { Engine } from '../../state/engine.ts';
import type { Reading } from '../../reading/reading.ts';
import type { Clip } from '../../state/session.ts';
import type { Thumbnail } from '../../storage/storage.ts';
import { stillCrops } from '../result/still-crops.ts';

/** Side of the stored still, pixels: sharp at the size of a thumb on a dense screen. */
const SIDE_PX = 192;

/** A small square still of the athlete at the plant, or at the first moment that was found; null without a clip or a moment. */
export async function makeThumbnail(engine: Engine, clip: Clip, reading: Reading): Promise<Thumbnail | null> {
  const id = (['plant', 'launch', 'set', 'hands'] as const).find((each) => reading.moments[each].found);
  const moment = id === undefined ? undefined : reading.moments[id];
  const crop = id === undefined ? undefined : stillCrops(reading).get(id);
  if (clip.file === null || moment?.found !== true || crop === undefined) return null;
  const stills = await engine.stills(clip.file, [moment.t], 1280, new AbortController().signal);
  const bitmap = stills.ok ? stills.value[0]?.bitmap : undefined;
  if (bitmap === undefined) return null;
  const surface = document.createElement('canvas');
  surface.width = SIDE_PX;
  surface.height = SIDE_PX;
  const scale = bitmap.width / reading.track.widthPx;
  surface.getContext('2d')?.drawImage(bitmap, crop.x * scale, crop.y * scale, crop.sidePx * scale, crop.sidePx * scale, 0, 0, SIDE_PX, SIDE_PX);
  bitmap.close();
  const picture = await new Promise<Blob | null>((resolve) => { surface.toBlob(resolve, 'image/jpeg', 0.75); });
  return picture === null ? null : { type: picture.type, bytes: await picture.arrayBuffer() };
}
