// Writes the bodies and poses from which the renderer draws its training pictures.
//
//   node make-poses.mjs STUDIO.mjs BODIES-DIR OUT-DIR MOTIONS SEED [body,body,…] [over | measured | straight] [MIXTURES]
//
// STUDIO.mjs is the truth studio bundled as one module (README.md says how). Every motion uses one of the studio's
// bodies reshaped at random (limb lengths and girths), one of the six starts with random parameters, and gives 24
// poses, most of them disturbed. A pose is two sets of bone transforms 1/240 s apart, for motion blur, and says where
// along the pass it is, so that a camera beside the middle of the pass sees it from where such a camera does.
//
// With `over` the poses are those that the first kind of bank has few of: from the hands through the upside-down split
// to the handstand, where the studio's motion ends, and landings and passés. With `measured` six in ten are at what is
// measured: the held start, the launch, the passé, the landing; and the low starts come twice as often. With `straight`
// they are those of `measured`, and half of the legs that are nearly straight bend a little more or less, up to 14°
// beyond straight: a knee that is straight must not lie at the edge of what was practised.
//
// MIXTURES adds so many bodies that lie between two of those named, or beyond either of them: all of the studio's bodies
// are one mesh, so that their places can be mixed.
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

const [studioPath, bodiesDir, outDir, motionsText, seedText, bodyList, bankKind, mixturesText] = process.argv.slice(2);
const isOver = bankKind === 'over';
const isStraight = bankKind === 'straight';
const isMeasured = bankKind === 'measured' || isStraight;
const studio = await import(pathToFileURL(studioPath).href);
const { Body, fk, solve, poseAt, DEFAULTS } = studio;
const BODIES = (bodyList ?? 'fteen,mteen,fadult,fchild,madult').split(',');
const SHAPES_EACH = 12;
/** How far a mixture may lie beyond either of its two bodies, in their distance. */
const BEYOND = 0.4;
const POSES_EACH = 24;
const DT = 1 / 240;
/** Degrees of bend below which a leg is nearly straight, and the most that a knee bends the other way (gymnasts' knees often do: common practice, no source). */
const STRAIGHT_BELOW = 40;
const MOST_OVERSTRETCHED = -14;
const POS_SCALE = 12000;
const REST_SCALE = 16000;
/** Numbers a pose beside its bones: shape, start, lead leg, kind, place along the pass from its middle and length of the pass, both in mm. */
const META = 6;

let state = Number(seedText) >>> 0 || 1;
function random() { state = (state + 0x6d2b79f5) >>> 0; let t = state; t = Math.imul(t ^ (t >>> 15), t | 1); t ^= t + Math.imul(t ^ (t >>> 7), t | 61); return ((t ^ (t >>> 14)) >>> 0) / 4294967296; }
const uniform = (a, b) => a + (b - a) * random();
const normal = (sd = 1) => sd * Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
const pick = (list) => list[Math.floor(random() * list.length)];
const clamp = (x, a, b) => Math.max(a, Math.min(b, x));

const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const unit = (a) => { const l = Math.hypot(...a) || 1; return a.map((x) => x / l); };
/** Lengthens by `along` on the axis and thickens by `across`. */
const stretch = (axis, along, across) => (v) => { const d = v[0] * axis[0] + v[1] * axis[1] + v[2] * axis[2]; return v.map((x, i) => across * (x - d * axis[i]) + along * d * axis[i]); };

/** The studio's body description with other proportions. The same skinning weights carry every vertex along. */
function reshaped(d, first) {
  const g = (sd, lim) => (first ? 1 : 1 + clamp(normal(sd), -lim, lim));
  const size = g(0.06, 0.15);
  const f = { thigh: g(0.06, 0.14), shank: g(0.06, 0.14), uarm: g(0.06, 0.14), farm: g(0.06, 0.14), trunk: g(0.06, 0.14), foot: g(0.06, 0.15), head: g(0.05, 0.12), width: g(0.06, 0.14) };
  const gLeg = g(0.12, 0.28), gShank = gLeg * g(0.06, 0.14), gArm = g(0.12, 0.28), gTrunk = g(0.12, 0.28), gDepth = gTrunk * g(0.06, 0.15);
  const H = (b) => d.heads[b];
  const S = {};
  const parents = {};
  const chain = (list) => list.forEach((b, i) => { parents[b] = i ? list[i - 1] : null; });
  chain(['root', 'spine05', 'spine04', 'spine03', 'spine02', 'spine01', 'neck01', 'neck02', 'neck03', 'head']);
  const box = (x, y, z) => (v) => [v[0] * x, v[1] * y, v[2] * z];
  for (const b of ['root', 'spine05', 'spine04', 'spine03', 'spine02', 'spine01']) S[b] = box(gDepth, f.trunk, gTrunk * (0.5 + 0.5 * f.width));
  for (const b of ['neck01', 'neck02', 'neck03']) S[b] = box(0.5 + 0.5 * gDepth, f.trunk, 0.5 + 0.5 * gDepth);
  S.head = box(f.head, f.head, f.head);
  for (const s of ['.L', '.R']) {
    parents['upperleg01' + s] = 'root'; parents['upperleg02' + s] = 'upperleg01' + s; parents['lowerleg01' + s] = 'upperleg02' + s; parents['lowerleg02' + s] = 'lowerleg01' + s; parents['foot' + s] = 'lowerleg02' + s; parents['toe' + s] = 'foot' + s;
    parents['clavicle' + s] = 'spine01'; parents['shoulder01' + s] = 'clavicle' + s; parents['upperarm01' + s] = 'shoulder01' + s; parents['upperarm02' + s] = 'upperarm01' + s; parents['lowerarm01' + s] = 'upperarm02' + s; parents['lowerarm02' + s] = 'lowerarm01' + s; parents['wrist' + s] = 'lowerarm02' + s;
    const thigh = unit(sub(H('lowerleg01' + s), H('upperleg01' + s))), shank = unit(sub(H('foot' + s), H('lowerleg01' + s)));
    const upper = unit(sub(H('lowerarm01' + s), H('upperarm01' + s))), fore = unit(sub(H('wrist' + s), H('lowerarm01' + s)));
    S['upperleg01' + s] = S['upperleg02' + s] = stretch(thigh, f.thigh, gLeg); S['lowerleg01' + s] = S['lowerleg02' + s] = stretch(shank, f.shank, gShank);
    S['foot' + s] = S['toe' + s] = box(f.foot, f.foot, f.foot);
    S['clavicle' + s] = S['shoulder01' + s] = box(gDepth, f.trunk, f.width); S['upperarm01' + s] = S['upperarm02' + s] = stretch(upper, f.uarm, gArm); S['lowerarm01' + s] = S['lowerarm02' + s] = stretch(fore, f.farm, 0.4 + 0.6 * gArm); S['wrist' + s] = box(1, 1, 1);
  }
  const heads = {};
  const order = d.bones.slice();
  for (let guard = 0; order.length && guard < 999; guard++) {
    const b = order.shift(); const p = parents[b];
    if (p === undefined) throw new Error('no parent known for bone ' + b);
    if (p === null) heads[b] = H(b).slice(); else if (heads[p]) { const o = S[p](sub(H(b), H(p))); heads[b] = heads[p].map((x, i) => x + o[i]); } else order.push(b);
  }
  const carry = (weights, v) => { const o = [0, 0, 0]; for (const [b, w] of weights) { const q = S[b](sub(v, H(b))); for (let i = 0; i < 3; i++) o[i] += w * (heads[b][i] + q[i]); } return o; };
  const n = d.pos.length / 3; const pos = new Float64Array(n * 3); let floor = 1e9;
  for (let i = 0; i < n; i++) {
    const ws = []; let total = 0; for (let k = 0; k < 4; k++) { const w = d.wVal[4 * i + k]; if (w) { ws.push([d.bones[d.wIdx[4 * i + k]], w]); total += w; } }
    for (const w of ws) w[1] /= total;
    const o = carry(ws, [d.pos[3 * i], d.pos[3 * i + 1], d.pos[3 * i + 2]]); pos.set(o, 3 * i); if (o[1] < floor) floor = o[1];
  }
  let oldFloor = 1e9; for (let i = 0; i < n; i++) oldFloor = Math.min(oldFloor, d.pos[3 * i + 1]);
  const place = (v) => [v[0] * size, (v[1] - floor + oldFloor) * size, v[2] * size];
  for (let i = 0; i < n; i++) pos.set(place([pos[3 * i], pos[3 * i + 1], pos[3 * i + 2]]), 3 * i);
  const tails = {}; for (const b of d.bones) { const q = S[b](sub(d.tails[b], H(b))); tails[b] = place(heads[b].map((x, i) => x + q[i])); }
  for (const b of d.bones) heads[b] = place(heads[b]);
  const palm = {}; for (const k in d.palm) palm[k] = place(carry([['wrist.' + k.slice(-1), 1]], d.palm[k]));
  const around = (o) => Object.fromEntries(Object.entries(o).map(([k, v]) => [k, place(carry([['head', 1]], v))]));
  return { ...d, heads, tails, pos, palm, eyes: around(d.eyes), iris: around(d.iris), spec: { ...d.spec, height: d.spec.height * size } };
}

/** What is the same in every body of the studio, or an index into it: not to be mixed. */
const NOT_MIXED = new Set(['bones', 'tris', 'eyeTris', 'bodyN', 'wIdx', 'wVal', 'lm']);
/** A body description with `share` of b and the rest of a. */
function mixed(a, b, share) {
  const nearer = share < 0.5 ? a : b;
  const mix = (x, y, key) => {
    if (NOT_MIXED.has(key)) return nearer[key];
    if (typeof x === 'number') return (1 - share) * x + share * y;
    if (Array.isArray(x)) return x.map((one, i) => mix(one, y[i]));
    if (x !== null && typeof x === 'object') return Object.fromEntries(Object.keys(x).map((one) => [one, mix(x[one], y[one], one)]));
    return x;
  };
  return mix(a, b);
}
function randomMixture(bodies) {
  const one = Math.floor(random() * bodies.length);
  const other = (one + 1 + Math.floor(random() * (bodies.length - 1))) % bodies.length;
  return mixed(bodies[one], bodies[other], uniform(-BEYOND, 1 + BEYOND));
}

function randomParams(entry) {
  const P = { ...DEFAULTS, entry, lead: pick(['L', 'R']), passeKnee: uniform(38, 125), passeThigh: uniform(35, 105), backBend: uniform(2, 60), lungeLen: uniform(0.65, 1.4), trunkLaunch: uniform(-12, 30), trunkLunge: uniform(0, 45), flightT: uniform(0.2, 0.36), step1: uniform(0.65, 1.05), armBend: uniform(0, 45), armAng: uniform(145, 182), armAbd: uniform(0, 22), hold: 0.25, frontLunge: uniform(0.85, 0.985), backKneeLunge: uniform(2, 45), stanceLen: uniform(0.65, 1.3), rearKneeKick: uniform(2, 55), seed: 1 + Math.floor(random() * 1e6), endPitch: uniform(-6, 14) };
  return P;
}

function disturbed(strength) {
  const k = strength; const n = (sd) => normal(sd * k);
  const leg = () => ({ th: n(13), kn: n(16), ab: n(5), ft: n(12), toe: n(8) }); const arm = () => ({ a: n(22), b: n(12), e: Math.abs(n(22)), w: n(12), flat: 0 });
  return { pp: n(7), cp: n(9), hp: n(13), tw: n(10), ptw: n(7), roll: n(4), L: leg(), R: leg(), AL: arm(), AR: arm() };
}
function plus(P, D) {
  const q = { ...P }; for (const c of ['pp', 'cp', 'hp', 'tw', 'ptw', 'roll']) q[c] += D[c];
  for (const c of ['L', 'R']) { q[c] = { ...P[c] }; for (const j in D[c]) q[c][j] += D[c][j]; q[c].kn = clamp(q[c].kn, 0.5, 150); q[c].ab = clamp(q[c].ab, -14, 30); q[c].toe = clamp(q[c].toe, -15, 70); }
  for (const c of ['AL', 'AR']) { q[c] = { ...P[c] }; for (const j in D[c]) q[c][j] += D[c][j]; q[c].e = clamp(q[c].e, 1, 145); q[c].b = clamp(q[c].b, -15, 80); }
  return q;
}
/** By how much each knee bends more, 0 for half of them and for those that are far from straight; hip and ankle stay about where they are. */
function straightening(P) {
  const more = {};
  for (const c of ['L', 'R']) more[c] = P[c].kn > STRAIGHT_BELOW || random() < 0.5 ? 0 : clamp(P[c].kn + normal(9), MOST_OVERSTRETCHED, 60) - P[c].kn;
  return more;
}
function bentBy(P, more) {
  const q = { ...P };
  for (const c of ['L', 'R']) q[c] = { ...P[c], kn: P[c].kn + more[c], th: P[c].th + more[c] / 2 };
  return q;
}
/** A pose from nowhere: squats, splits, kicks, arms anywhere. */
function freePose(B) {
  const d = B.dims; const arm = () => ({ a: uniform(-60, 185), b: uniform(-5, 60), e: uniform(0, 130), w: normal(12), flat: 0 });
  const leg = () => { const th = uniform(-60, 110), kn = Math.max(0.5, uniform(-20, 140)); return { th, kn, ab: normal(7), ft: uniform(-20, 60) + (kn - th) * 0.5, toe: normal(8) }; };
  const lean = normal(28);
  return { px: 0, py: d.ha + d.L * uniform(0.55, 1.02), pz: 0, pp: 0.7 * lean - d.trunkRest, cp: lean - d.trunkRest, hp: lean + normal(15), tw: normal(18), ptw: normal(12), roll: normal(6), L: leg(), R: leg(), AL: arm(), AR: arm() };
}

/**
 * On the hands: the trunk turns from 105° to beyond the handstand, the rear leg goes over, the front leg leaves the floor
 * and follows, the chest twists; legs pass each other now and then. Two poses 1/240 s apart, lowest hand or foot on the floor.
 */
function overPoses(B, lead) {
  const d = B.dims; const u = random() < 0.5 ? uniform(0, 0.45) : uniform(0, 1.1); const w = u * u * (3 - 2 * Math.min(1, u));
  const lean = 105 + 80 * u + normal(9), ptw = clamp(12 + 30 * u + normal(12), -10, 50);
  const rear = { th: -112 - 82 * u + normal(16), kn: clamp(Math.abs(normal(18)) + 3, 0.5, 120), ab: normal(6), toe: normal(8) };
  const front = { th: -2 - 165 * w + normal(22), kn: clamp(58 - 46 * u + normal(22), 0.5, 130), ab: normal(6), toe: normal(8) };
  for (const leg of [rear, front]) leg.ft = uniform(0, 70) + leg.kn - leg.th;
  if (u < 0.3 && random() < 0.7) front.ft = normal(10);
  const arm = () => ({ a: uniform(128, 188), b: clamp(normal(10), -15, 40), e: Math.abs(normal(16)) + 1, w: normal(25), flat: random() < 0.5 ? 1 : 0 });
  const pose = { px: 0, py: 1, pz: 0, pp: lean * uniform(0.8, 1.03) - d.trunkRest, cp: lean - d.trunkRest, hp: lean - uniform(-12, 45), tw: clamp(ptw + uniform(0, 40) + normal(8), -10, 92), ptw, roll: normal(6), AL: arm(), AR: arm() };
  pose[lead] = front; pose[lead === 'L' ? 'R' : 'L'] = rear;
  const speed = uniform(0.2, 1.4); const next = { ...pose, px: 0.006 * speed };
  for (const c of ['pp', 'cp', 'hp']) next[c] += 1.2 * speed;
  for (const [side, rate] of [[lead, 0.4 + 2.6 * w], [lead === 'L' ? 'R' : 'L', 2.2]]) next[side] = { ...pose[side], th: pose[side].th - rate * speed, ft: pose[side].ft + rate * speed };
  const x = fk(B, pose, lead); const low = Math.min(...['wrist.L', 'wrist.R'].map((b) => x.p[bones.indexOf(b)][1] - 0.05), ...['foot.L', 'foot.R', 'toe.L', 'toe.R'].map((b) => x.p[bones.indexOf(b)][1] - 0.03));
  pose.py -= low; next.py -= low;
  return [pose, next];
}

function quaternion(R) {
  const t = R[0] + R[4] + R[8];
  if (t > 0) { const s = Math.sqrt(t + 1) * 2; return [(R[7] - R[5]) / s, (R[2] - R[6]) / s, (R[3] - R[1]) / s, s / 4]; }
  if (R[0] > R[4] && R[0] > R[8]) { const s = Math.sqrt(1 + R[0] - R[4] - R[8]) * 2; return [s / 4, (R[1] + R[3]) / s, (R[2] + R[6]) / s, (R[7] - R[5]) / s]; }
  if (R[4] > R[8]) { const s = Math.sqrt(1 + R[4] - R[0] - R[8]) * 2; return [(R[1] + R[3]) / s, s / 4, (R[5] + R[7]) / s, (R[2] - R[6]) / s]; }
  const s = Math.sqrt(1 + R[8] - R[0] - R[4]) * 2; return [(R[2] + R[6]) / s, (R[5] + R[7]) / s, s / 4, (R[3] - R[1]) / s];
}

mkdirSync(outDir, { recursive: true });
const named = BODIES.map((id) => JSON.parse(readFileSync(join(bodiesDir, `${id}.json`), 'utf8')));
const raw = [...named, ...Array.from({ length: Number(mixturesText ?? 0) }, () => randomMixture(named))];
const shapes = []; const shapeBase = []; const rest = []; const heads = [];
raw.forEach((d, base) => {
  const isMixture = base >= named.length;
  for (let i = 0; i < (isMixture ? 1 : SHAPES_EACH); i++) {
    const r = reshaped(d, i === 0 && !isMixture); shapes.push(new Body({ ...r, pos: Array.from(r.pos) })); shapeBase.push(base);
    rest.push(Int16Array.from(r.pos, (x) => Math.round(x * REST_SCALE))); heads.push(Float32Array.from(d.bones.flatMap((b) => r.heads[b])));
  }
});
const bones = raw[0].bones; const nb = bones.length;
const ENTRIES = ['two-step', 'power-hurdle', 'sprint-lunge', 'passe-hop', 'passe-fall', 'half-kneel'];
const motions = Number(motionsText); const rows = motions * POSES_EACH;
const bonesOut = new Int16Array(rows * 2 * nb * 7); const meta = new Int16Array(rows * META); let row = 0; let skipped = 0; const t0 = Date.now();
/** A time in a motion for a bank of the second kind: at the hands, at the landing, in the passé or anywhere. */
function overTime(d) {
  const u = random();
  return u < 0.4 ? uniform(d.handT[0] - 0.15, d.T) : u < 0.65 ? d.lunge + normal(0.04) : u < 0.85 ? uniform(d.launch - 0.2, d.lunge) : uniform(0, d.T);
}
/** A time in a motion for a bank of the third kind. */
function measuredTime(d) {
  const u = random();
  return u < 0.2 ? uniform(0, d.onset) : u < 0.35 ? d.launch + normal(0.03) : u < 0.45 ? uniform(d.launch - 0.15, d.lunge) : u < 0.6 ? d.lunge + normal(0.03) : uniform(0, d.T);
}
/** Where along its pass the pose is and how long the pass is, in mm; poses from nowhere lie anywhere along a usual pass. */
function along(motion, px) {
  const limit = (m) => Math.round(clamp(m * 1000, -32000, 32000));
  if (motion === null) return [limit(uniform(-1.2, 1.2)), 2500];
  const way = motion.ch.px; const from = Math.min(...way), to = Math.max(...way);
  return [limit(px - (from + to) / 2), limit(to - from)];
}
function put(shape, B, poses, lead, entry, kind, motion) {
  let at = row * 2 * nb * 7; const x0 = poses[0].px;
  for (const P of poses) { const x = fk(B, P, lead); for (let b = 0; b < nb; b++) { const q = quaternion(x.R[b]); for (let k = 0; k < 4; k++) bonesOut[at++] = Math.round(q[k] * 32766); for (let k = 0; k < 3; k++) bonesOut[at++] = Math.round(clamp((x.p[b][k] - (k ? 0 : x0)) * POS_SCALE, -32767, 32767)); } }
  meta.set([shape, entry, lead === 'L' ? 0 : 1, kind, ...along(motion, x0)], row * META); row++;
}
for (let m = 0; m < motions; m++) {
  const shape = Math.floor(random() * shapes.length); const B = shapes[shape]; const e = pick(isMeasured ? [0, 1, 2, 2, 3, 4, 5, 5] : [0, 1, 2, 3, 4, 5]); const P = randomParams(ENTRIES[e]);
  const s = B.dims.L / 0.78; P.v = DEFAULTS.v * Math.sqrt(s) * uniform(0.85, 1.15); P.tempo = Math.sqrt(s) * uniform(0.85, 1.2);
  let motion = null; try { motion = solve(B, P, 120, 5); } catch { skipped++; }
  for (let i = 0; i < POSES_EACH; i++) {
    if (motion === null || random() < 0.06) { const free = freePose(B); put(shape, B, [free, free], P.lead, 6, 2, null); continue; }
    if (isOver && random() < 0.5) { put(shape, B, overPoses(B, P.lead), P.lead, 7, 3, null); continue; }
    const d = motion.def; const key = random() < 0.4; const t = clamp(isMeasured ? measuredTime(d) : isOver ? overTime(d) : key ? pick([0, d.onset, d.launch, d.launch - 0.1, d.lunge, d.lunge - 0.08, d.handT[0], (d.launch + d.lunge) / 2]) + normal(0.03) : uniform(0, d.T), 0, d.T - DT);
    let a = poseAt(motion, t), b = poseAt(motion, t + DT); const u = random(); const kind = u < 0.4 ? 0 : 1;
    if (kind) { const D = disturbed(u < 0.8 ? 0.6 : 1.5); a = plus(a, D); b = plus(b, D); }
    if (isStraight) { const more = straightening(a); a = bentBy(a, more); b = bentBy(b, more); }
    if (![a.px, a.py, a.L.th, a.R.kn, a.AL.a, a.AR.e].every(Number.isFinite)) { const free = freePose(B); put(shape, B, [free, free], P.lead, 6, 2, null); continue; }
    put(shape, B, [a, b], P.lead, e, kind, motion);
  }
}
console.log(`${rows} poses, ${skipped} motions unsolved, ${((Date.now() - t0) / 1000).toFixed(1)} s`);
const save = (name, arrays) => writeFileSync(join(outDir, name), Buffer.concat(arrays.map((a) => Buffer.from(a.buffer, a.byteOffset, a.byteLength))));
save('bones.i16', [bonesOut]); save('meta.i16', [meta]); save('rest.i16', rest); save('heads.f32', heads);
const same = (k) => raw.every((d) => JSON.stringify(d[k]) === JSON.stringify(raw[0][k]));
save('weights-index.u8', raw.map((d) => Uint8Array.from(d.wIdx))); save('weights.f32', raw.map((d) => Float32Array.from(d.wVal)));
save('triangles.i32', [Int32Array.from([...raw[0].tris, ...raw[0].eyeTris])]);
writeFileSync(join(outDir, 'info.json'), JSON.stringify({ bodies: raw.map((d) => d.spec.id), shapeBase, bones, nv: raw[0].pos.length / 3, bodyTriangles: raw[0].tris.length / 3, eyeTriangles: raw[0].eyeTris.length / 3, rows, dt: DT, posScale: POS_SCALE, restScale: REST_SCALE, sameTriangles: same('tris') && same('eyeTris'), entries: [...ENTRIES, 'free', 'over'], landmarks: raw.map((d) => d.lm), iris: shapes.map((b) => b.d.iris), eyes: shapes.map((b) => b.d.eyes), restLandmarks: raw.map((d) => ({ lipY: d.lipY, eyes: d.eyes, heads: d.heads })), digest: createHash('sha256').update(Buffer.from(bonesOut.buffer)).digest('hex') }));
