// Draws a set of clips at random for the truth studio and prints it as the studio's sets.ts.
//
//   node tools/bench/draw-set.mjs SEED > STUDIO/src/sets.ts     then, in STUDIO: sh run.sh SEED
//
// Conditions are those that docs/accuracy.md promises figures for: side-on or up to 10° off, normal gym light, before a
// plain or a cluttered wall, 60 frames a second, some 30 (half of these blurred) and 120. Every body does every start
// once, and the sprint-lunge start, the only one with a measured back knee, twice: 35 clips. The same seed draws the
// same set.
const seed = Number(process.argv[2]);
if (!Number.isInteger(seed)) throw new Error('usage: node tools/bench/draw-set.mjs SEED');

const BODIES = ['fteen', 'fchild', 'mteen', 'fadult', 'madult'];
const STARTS = ['two-step', 'power-hurdle', 'sprint-lunge', 'passe-hop', 'passe-fall', 'half-kneel', 'sprint-lunge'];
const LOOKS = ['leoBlue', 'leoRedLong', 'leoTealLong', 'tankLegg', 'tankShort', 'teeShort', 'teeLegg', 'leoShort'];
const SKINS = ['light', 'mid', 'dark'];
const HAIRS = ['black', 'brown', 'blond', 'red'];

/** mulberry32, by Tommy Ettinger, public domain. */
let state = seed >>> 0;
function random() {
  state = (state + 0x6d2b79f5) >>> 0;
  let t = state;
  t = Math.imul(t ^ (t >>> 15), t | 1);
  t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
}
const between = (low, high, digits = 2) => Number((low + (high - low) * random()).toFixed(digits));
const pick = (list) => list[Math.floor(random() * list.length)];

const clips = [];
for (const body of BODIES) {
  for (const [index, entry] of STARTS.entries()) {
    const speed = random();
    const fps = speed < 0.2 ? 30 : speed < 0.3 ? 120 : 60;
    const clipSeed = 100 + Math.floor(random() * 9000);
    clips.push({
      name: `${body}-${entry}-${index + 1}`,
      set: String(seed),
      entry,
      body,
      p: {
        lead: pick(['L', 'R']),
        passeKnee: between(45, 108),
        passeThigh: between(50, 95),
        backBend: between(5, 40),
        lungeLen: between(0.75, 1.3),
        trunkLaunch: between(-6, 25),
        trunkLunge: between(4, 34),
        flightT: between(0.24, 0.34, 3),
        step1: between(0.7, 1),
        armBend: between(0, 25),
        tempo: between(0.9, 1.12),
        frontLunge: between(0.91, 0.985, 3),
        backKneeLunge: between(5, 30),
        stanceLen: between(0.8, 1.15),
        rearKneeKick: between(5, 35),
        seed: clipSeed,
      },
      look: pick(LOOKS),
      skin: pick(SKINS),
      hair: pick(HAIRS),
      w: 1280,
      h: 720,
      fps,
      side: pick([1, -1]),
      yaw: between(-10, 10),
      roll: between(-1.5, 1.5),
      shake: pick([0, 0, 0.4]),
      camH: between(0.8, 1.35),
      zoom: between(0.9, 1),
      blur: fps === 30 && random() < 0.5 ? 1 / 3 : 0,
      crf: Math.round(between(20, 26)),
      noise: Math.round(between(1, 3)),
      bg: pick(['plain', 'clutter']),
      floor: Math.floor(random() * 4),
      wall: Math.floor(random() * 4),
      seed: clipSeed,
    });
  }
}
process.stdout.write(`import { mk, type Opt } from './clips';
import type { ClipCfg } from './common';
const CLIPS = ${JSON.stringify(clips, null, 1)} as Opt[];
export const SETS = (set: string): ClipCfg[] => CLIPS.filter((clip) => clip.set === set).map(mk);
`);
