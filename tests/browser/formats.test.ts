import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openPage, type OpenPage } from '../../tools/browser/open-page.ts';

const FOLDER = fileURLToPath(new URL('../../fixtures/formats/', import.meta.url));
const REQUEST = { trim: null, athleteAt: null, model: 'lite' as const, backend: 'wasm' as const };

let open: OpenPage;
beforeAll(async () => {
  open = await openPage('measure.html');
});
afterAll(() => open.close());

async function choose(name: string): Promise<void> {
  await open.page.setInputFiles('#clips', join(FOLDER, name));
}

async function stills(name: string, times: readonly number[], maxWidthPx = 320) {
  await choose(name);
  const answer = await open.page.evaluate(
    ([asked, width]) => {
      if (window.lungelineMeasure === undefined) throw new Error('the page did not start');
      return window.lungelineMeasure.stills(0, asked, width);
    },
    [times, maxWidthPx] as const,
  );
  if ('problem' in answer) throw new Error(answer.problem.kind);
  return answer.stills;
}

async function problem(name: string): Promise<unknown> {
  await choose(name);
  const { record } = await open.page.evaluate((request) => {
    if (window.lungelineMeasure === undefined) throw new Error('the page did not start');
    return window.lungelineMeasure.measure(0, request, {}, false);
  }, REQUEST);
  return record.ok ? 'measured' : record.problem;
}

/** Names the colour of a quarter; the clips' colours lie far apart. */
function colour([r, g, b]: readonly [number, number, number]): string {
  if (g > 120 && r < 80 && b < 80) return 'green';
  if (b > 120 && r < 80 && g < 80) return 'blue';
  if (r > 120 && g < 80 && b < 80) return 'red';
  return 'grey';
}

/** Colours of the quarters as the browser's own player shows a frame, clockwise from the top left. */
async function played(name: string): Promise<readonly string[]> {
  await choose(name);
  const quarters = await open.page.evaluate(async () => {
    const file = document.querySelector<HTMLInputElement>('#clips')?.files?.[0];
    if (file === undefined) throw new Error('no file');
    const video = document.createElement('video');
    video.muted = true;
    video.src = URL.createObjectURL(file);
    document.body.append(video);
    await new Promise((resolve) => { video.addEventListener('loadeddata', resolve, { once: true }); });
    // Only a frame that was sought is sure to be painted.
    const sought = new Promise((resolve) => { video.addEventListener('seeked', resolve, { once: true }); });
    video.currentTime = 0.2;
    await sought;
    const canvas = document.createElement('canvas');
    canvas.width = video.videoWidth;
    canvas.height = video.videoHeight;
    const context = canvas.getContext('2d');
    if (context === null) throw new Error('no canvas');
    context.drawImage(video, 0, 0);
    video.remove();
    URL.revokeObjectURL(video.src);
    return ([[1, 1], [3, 1], [3, 3], [1, 3]] as const).map(([x, y]) => {
      const { data } = context.getImageData((x * canvas.width) / 4, (y * canvas.height) / 4, 1, 1);
      return [data[0] ?? 0, data[1] ?? 0, data[2] ?? 0] as const;
    });
  });
  return quarters.map(colour);
}

describe('pictures stand as a player shows them, turned exactly once', () => {
  // Clockwise from the top left, upright: grey, green, blue, red. A clockwise quarter turn moves the last to the front;
  // a mirror exchanges left and right after it.
  const turns = [
    ['upright.mp4', 160, 96, ['grey', 'green', 'blue', 'red']],
    ['turned-90.mp4', 96, 160, ['red', 'grey', 'green', 'blue']],
    ['turned-180.mp4', 160, 96, ['blue', 'red', 'grey', 'green']],
    ['turned-270.mp4', 96, 160, ['green', 'blue', 'red', 'grey']],
    ['mirrored.mp4', 160, 96, ['green', 'grey', 'red', 'blue']],
    ['mirrored-90.mp4', 96, 160, ['grey', 'red', 'blue', 'green']],
  ] as const;
  it.each(turns)('%s shows %i × %i', async (name, width, height, quarters) => {
    const [still] = await stills(name, [0]);
    expect(still).toMatchObject({ width, height });
    expect(still?.quarters.map(colour)).toEqual(quarters);
    expect(await played(name)).toEqual(quarters);
  });
});

describe('stills are the decoded frame nearest to the time asked, told by its grey of 30 + 6 n', () => {
  const clips = [
    ['upright.mp4', 30],
    ['quick.mov', 30],
    ['open.webm', 30],
    ['fast-120.mp4', 120],
    ['fast-240.mp4', 240],
    // The first shown frame is time 0, wherever the file starts.
    ['late-start.mp4', 30],
  ] as const;
  it.each(clips)('%s at %i frames a second: frames 29, 0, 14 and 7 in the order asked', async (name, fps) => {
    const frames = [29, 0, 14, 7];
    const found = await stills(name, frames.map((n) => n / fps));
    found.forEach((still, i) => {
      const n = frames[i] ?? Number.NaN;
      // Container times are whole ticks: 1 ms in WebM.
      expect(still.t).toBeCloseTo(n / fps, 3);
      // Lossy coding moves a flat grey by a level or two; neighbouring frames differ by 6.
      expect(Math.abs((still.quarters[0]?.[1] ?? 0) - (30 + 6 * n))).toBeLessThan(3);
    });
  });

  it('uneven.mp4: frame 5 is shown at 5.5 thirtieths of a second', async () => {
    const [still] = await stills('uneven.mp4', [5.4 / 30]);
    expect(still?.t).toBeCloseTo(5.5 / 30, 4);
    expect(Math.abs((still?.quarters[0]?.[1] ?? 0) - 60)).toBeLessThan(3);
  });

  it('a still is at most as wide as asked and keeps its shape: 160 × 96 at 80 wide is 80 × 48', async () => {
    const [still] = await stills('upright.mp4', [0], 80);
    expect(still).toMatchObject({ width: 80, height: 48 });
  });
});

describe('each bad file has its own problem', () => {
  it('an empty file', async () => {
    expect(await problem('empty.mp4')).toEqual({ kind: 'empty-file', fileName: 'empty.mp4' });
  });
  it('bytes that are no clip', async () => {
    expect(await problem('noise.mp4')).toEqual({ kind: 'unreadable-file', fileName: 'noise.mp4' });
  });
  it('a clip whose index is torn', async () => {
    expect(await problem('torn-index.mp4')).toEqual({ kind: 'unreadable-file', fileName: 'torn-index.mp4' });
  });
  it('sound without a picture', async () => {
    expect(await problem('sound-only.mp4')).toEqual({ kind: 'no-video-track', fileName: 'sound-only.mp4' });
  });
  it('HEVC where the browser cannot decode it, else nobody in view', async () => {
    const canDecode = await open.page.evaluate(async () => {
      const support = await VideoDecoder.isConfigSupported({ codec: 'hvc1.1.6.L30.90', codedWidth: 160, codedHeight: 96 });
      return support.supported === true;
    });
    expect(await problem('hevc.mp4')).toEqual(canDecode ? { kind: 'nobody-found' } : { kind: 'codec-not-decodable', fileName: 'hevc.mp4', codec: 'hevc' });
  });
  it('nobody in view', async () => {
    expect(await problem('upright.mp4')).toEqual({ kind: 'nobody-found' });
  });
  it('a clip cut off in the middle: frames that are there are searched', async () => {
    expect(await problem('cut-off.mp4')).toEqual({ kind: 'nobody-found' });
    await expect(stills('cut-off.mp4', [0])).resolves.toHaveLength(1);
    await expect(stills('cut-off.mp4', [29 / 30])).rejects.toThrow('decoder-failed');
  });
});

it('asks nothing of any other origin, and logs no error', () => {
  expect(open.foreignRequests).toEqual([]);
  expect(open.errors).toEqual([]);
});
