// Makes fixtures/stills/view.jpg with ffmpeg: node tests/support/make-view-photo.mjs
// The first frame of a fixture clip as a photo whose EXIF (CIPA DC-008) states a lens of 26 mm, full-frame equivalent.
import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const at = (path) => fileURLToPath(new URL(`../../fixtures/${path}`, import.meta.url));
execFileSync('ffmpeg', ['-v', 'error', '-y', '-i', at('clips/sprint-lunge-good.mp4'), '-frames:v', '1', '-q:v', '5', '-fflags', '+bitexact', '-flags:v', '+bitexact', at('stills/view.jpg')]);
const u16 = (value) => [value & 255, value >> 8];
const u32 = (value) => [...u16(value & 65535), ...u16(value >>> 16)];
const entry = (tag, type, value) => [...u16(tag), ...u16(type), ...u32(1), ...u32(value)];
// TIFF header; first directory with one pointer (0x8769) to the Exif directory with one short (0xA405).
const tiff = [...Buffer.from('II'), ...u16(42), ...u32(8), ...u16(1), ...entry(0x8769, 4, 26), ...u32(0), ...u16(1), ...entry(0xa405, 3, 26), ...u32(0)];
const exif = [...Buffer.from('Exif\0\0'), ...tiff];
const photo = readFileSync(at('stills/view.jpg'));
writeFileSync(at('stills/view.jpg'), Buffer.concat([photo.subarray(0, 2), Buffer.from([0xff, 0xe1, (exif.length + 2) >> 8, (exif.length + 2) & 255, ...exif]), photo.subarray(2)]));
