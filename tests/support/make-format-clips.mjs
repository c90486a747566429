// Makes fixtures/formats with ffmpeg: node tests/support/make-format-clips.mjs
// Development only; the clips are committed and neither the product nor its tests run ffmpeg.
//
// Every clip shows the same picture, 160 × 96: top left a grey of level 30 + 6 n in frame n, top right green,
// bottom right blue, bottom left red. So orientation and frame number can be read back from the colours.
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const OUT = fileURLToPath(new URL('../../fixtures/formats/', import.meta.url));
mkdirSync(OUT, { recursive: true });

const left = 'lt(X,W/2)';
const top = 'lt(Y,H/2)';
const colour = (grey, topRight, bottomRight, bottomLeft) =>
  `if(${left},if(${top},${grey},${bottomLeft}),if(${top},${topRight},${bottomRight}))`;
const PICTURE = [
  `geq=r='${colour('30+6*N', 0, 0, 200)}'`,
  `g='${colour('30+6*N', 200, 0, 0)}'`,
  `b='${colour('30+6*N', 0, 200, 0)}'`,
].join(':');

function ffmpeg(...args) {
  execFileSync('ffmpeg', ['-hide_banner', '-loglevel', 'error', '-y', ...args]);
}

function pattern(name, { fps = 30, frames = 30, filters = [], input = [], output = [] } = {}) {
  ffmpeg(
    ...input, '-f', 'lavfi', '-i', `color=c=black:s=160x96:r=${fps}:d=${frames / fps}`,
    '-vf', ['format=gbrp', PICTURE, 'scale=out_color_matrix=bt709:out_range=tv', 'format=yuv420p', ...filters].join(','),
    '-color_primaries', 'bt709', '-color_trc', 'bt709', '-colorspace', 'bt709',
    '-frames:v', String(frames), '-fps_mode', 'passthrough', '-map_metadata', '-1', '-fflags', '+bitexact', '-flags:v', '+bitexact',
    ...output, `${OUT}${name}`,
  );
}

const H264 = ['-c:v', 'libx264', '-crf', '12', '-g', '15', '-bf', '2', '-movflags', '+faststart'];
pattern('upright.mp4', { output: H264 });
// A clockwise turn, and a mirror after it, live in the matrix of the track header (ISO/IEC 14496-12): a, b, u, c, d, v, x, y, w at byte 44 of
// a version 0 'tkhd' box, 16.16 fixed point.
for (const [turn, [a, b, c, d, x, y]] of Object.entries({
  90: [0, 1, -1, 0, 96, 0],
  180: [-1, 0, 0, -1, 160, 96],
  270: [0, -1, 1, 0, 0, 160],
  mirrored: [-1, 0, 0, 1, 160, 0],
  'mirrored-90': [0, 1, 1, 0, 0, 0],
})) {
  const bytes = readFileSync(`${OUT}upright.mp4`);
  const matrix = bytes.indexOf('tkhd') - 4 + 48;
  [a, b, 0, c, d, 0, x, y].forEach((value, i) => bytes.writeInt32BE(value * 65536, matrix + i * 4));
  writeFileSync(`${OUT}${turn.startsWith('mirrored') ? turn : `turned-${turn}`}.mp4`, bytes);
}
// Frames at 0, 1, 2.5, 3, 4, 5.5 … thirtieths: every third one half a frame late.
pattern('uneven.mp4', { filters: ['settb=1/60000', "setpts='(N+0.5*eq(mod(N,3),2))/30/TB'"], output: [...H264, '-enc_time_base', '1/60000', '-video_track_timescale', '60000'] });
pattern('late-start.mp4', { filters: ["setpts='(N+15)/30/TB'"], output: H264 });
pattern('quick.mov', { output: H264 });
pattern('open.webm', { output: ['-c:v', 'libvpx-vp9', '-crf', '12', '-b:v', '0', '-g', '15'] });
pattern('fast-120.mp4', { fps: 120, output: H264 });
pattern('fast-240.mp4', { fps: 240, output: H264 });
pattern('hevc.mp4', { output: ['-c:v', 'libx265', '-crf', '12', '-tag:v', 'hvc1', '-x265-params', 'log-level=error'] });
ffmpeg('-f', 'lavfi', '-i', 'sine=frequency=440:duration=1', '-c:a', 'aac', '-b:a', '32k', '-map_metadata', '-1', `${OUT}sound-only.mp4`);

// The first half of a file whose index is in front: the frames whose bytes are there can be decoded.
const upright = readFileSync(`${OUT}upright.mp4`);
const media = upright.indexOf('mdat') + 4;
writeFileSync(`${OUT}cut-off.mp4`, upright.subarray(0, media + Math.round((upright.length - media) * 0.6)));
// The same file with its index torn.
writeFileSync(`${OUT}torn-index.mp4`, upright.subarray(0, 200));
// Bytes that are no clip, from a fixed seed (a linear congruential generator, Numerical Recipes' constants from memory).
const noise = new Uint8Array(4000);
let state = 20240601;
for (let i = 0; i < noise.length; i += 1) {
  state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
  noise[i] = state >>> 24;
}
writeFileSync(`${OUT}noise.mp4`, noise);
writeFileSync(`${OUT}empty.mp4`, new Uint8Array(0));
