"""Draws random training crops of the posed bodies, with the exact places of their joints.

The same source (render.cu) runs on a GPU through CuPy or on a CPU through g++ and ctypes.
"""
import ctypes
import json
import os

import numpy as np
import torch

NB, NS, NP, NC, CP, NA, SZ, SH = 36, 6, 160, 12, 10, 8, 256, 320
META = 6  # numbers a pose beside its bones: shape, start, lead leg, kind, place along the pass from its middle and its length, in mm
P = dict(PCAM=0, RAY=12, CAM=21, PSUN=24, SUN=36, SUNI=39, AMB=40, UPC=41, DNC=44, SUNC=47, EXPO=50, GAMMA=51, SKIN=52, HAIR=55,
         TOPA=58, TOPB=61, BOTA=64, BOTB=67, SOCK=70, SLEEVE=73, HEM=74, NECK=75, WAIST=76, LEGLEN=77, CUT=78, SOCKS=79, TOPPAT=80,
         PATF=81, BOTPAT=82, SKINN=83, SPEC=84, HAIRL=85, LOOSET=86, LOOSEB=87, WRF=88, SEED=89, HAIRD=90, DQ=91, FLOORY=92, FLA=93,
         FLB=96, FLPAT=99, FLF=100, FLANG=101, WALLD=102, WALLANG=103, WA=104, WB=107, WPAT=110, WF=111, SKY=112, LINEZ=115,
         LINEW=116, BLACK=117, SHADOW=121, EXTRA=122, EXC=123, EXS=124, EXX=125, EXZ=126, SHUT=127, BALLS=128, BIAS=152, MIDX=153,
         EYEY=154, EYEZ=155, LIPY=156, FACEX=157)
# joints that the head learns, left and right the athlete's
JOINTS = ['nose', 'earL', 'earR', 'shoulderL', 'shoulderR', 'elbowL', 'elbowR', 'wristL', 'wristR', 'hipL', 'hipR', 'kneeL', 'kneeR',
          'ankleL', 'ankleR', 'heelL', 'heelR', 'toeL', 'toeR']
SWAP = [0, 2, 1, 4, 3, 6, 5, 8, 7, 10, 9, 12, 11, 14, 13, 16, 15, 18, 17]
BONE_OF = {'shoulder': 'upperarm01.', 'elbow': 'lowerarm01.', 'wrist': 'wrist.', 'hip': 'upperleg01.', 'knee': 'lowerleg01.', 'ankle': 'foot.'}


def icosphere():
    g = (1 + 5 ** 0.5) / 2
    v = [(-1, g, 0), (1, g, 0), (-1, -g, 0), (1, -g, 0), (0, -1, g), (0, 1, g), (0, -1, -g), (0, 1, -g), (g, 0, -1), (g, 0, 1), (-g, 0, -1), (-g, 0, 1)]
    f = [(0, 11, 5), (0, 5, 1), (0, 1, 7), (0, 7, 10), (0, 10, 11), (1, 5, 9), (5, 11, 4), (11, 10, 2), (10, 7, 6), (7, 1, 8), (3, 9, 4), (3, 4, 2), (3, 2, 6), (3, 6, 8), (3, 8, 9), (4, 9, 5), (2, 4, 11), (6, 2, 10), (8, 6, 7), (9, 8, 1)]
    v = [np.array(x) / np.linalg.norm(x) for x in v]
    mid, out = {}, []
    for a, b, c in f:
        m = []
        for i, j in ((a, b), (b, c), (c, a)):
            k = (min(i, j), max(i, j))
            if k not in mid:
                w = v[i] + v[j]
                v.append(w / np.linalg.norm(w))
                mid[k] = len(v) - 1
            m.append(mid[k])
        out += [(a, m[0], m[2]), (b, m[1], m[0]), (c, m[2], m[1]), tuple(m)]
    return np.array(v, np.float32), np.array(out, np.int32)


class Bank:
    """Bodies and poses written by make-poses.mjs; several folders become one bank."""

    def __init__(self, folders, device):
        bones, meta, rest, heads, wi, wv, attr, base, lms, face = [], [], [], [], [], [], [], [], [], []
        for folder in folders:
            info = json.load(open(os.path.join(folder, 'info.json')))
            rd = lambda name, kind: np.fromfile(os.path.join(folder, name), kind)
            nv, nshape = info['nv'], len(info['shapeBase'])
            m = rd('meta.i16', np.int16).reshape(-1, META).copy()
            m[:, 0] += len(base)
            meta.append(m)
            bones.append(rd('bones.i16', np.int16).reshape(-1, 2, NB, 7))
            r = rd('rest.i16', np.int16).reshape(nshape, nv, 3).astype(np.float32) / info['restScale']
            h = rd('heads.f32', np.float32).reshape(nshape, NB, 3)
            w_i = rd('weights-index.u8', np.uint8).reshape(-1, nv, 4)
            w_v = rd('weights.f32', np.float32).reshape(-1, nv, 4)
            w_v = w_v / w_v.sum(2, keepdims=True)
            nb0 = len(wi)
            for b in range(len(info['bodies'])):
                first = info['shapeBase'].index(b)
                wi.append(w_i[b]); wv.append(w_v[b])
                attr.append(attributes(r[first], h[first], w_i[b], w_v[b], info['bones'], info['restLandmarks'][b], info['landmarks'][b]))
                lms.append([info['landmarks'][b][k] for k in ('nose', 'earL', 'earR', 'heelL', 'heelR', 'toeL', 'toeR')])
            for s in range(nshape):
                b = info['shapeBase'][s]
                base.append(nb0 + b)
                # face places of a reshaped body: the head scales as a whole, so measure from its own eye bone offsets
                eye = np.array(info['eyes'][s]['L']); lip = info['restLandmarks'][b]['lipY'] - info['restLandmarks'][b]['eyes']['L'][1]
                ear = r[s][info['landmarks'][b]['earL']]
                face.append([0, eye[1], abs(eye[2]), eye[1] + lip, ear[0] + 0.03])
            rest.append(r); heads.append(h)
            self.tri = rd('triangles.i32', np.int32).reshape(-1, 3)
            self.nbt, self.nv, self.bones_names, self.dt, self.pos_scale = info['bodyTriangles'], nv, info['bones'], info['dt'], info['posScale']
        ball, ball_tri = icosphere()
        tri = [self.tri] + [ball_tri + self.nv + k * 42 for k in range(NS)]
        t = lambda a, kind=None: torch.from_numpy(np.ascontiguousarray(a if kind is None else a.astype(kind))).to(device)
        self.device = device
        # body triangles, then eyes, then balls: shade() tells eyes by index, balls by vertex number
        self.tri = t(np.concatenate(tri), np.int32)
        self.nvT = self.nv + NS * 42
        self.bones, self.meta = t(np.concatenate(bones)), np.concatenate(meta)
        rest = np.concatenate(rest)
        self.rest, self.heads = t(rest), t(np.concatenate(heads))
        self.nrm = t(np.stack([normals(x, self.tri[: self.nbt + 280].cpu().numpy()) for x in rest]))
        self.wi, self.wv, self.attr, self.base = t(np.stack(wi)), t(np.stack(wv)), t(np.stack(attr)), t(np.array(base, np.int32))
        self.lms, self.face, self.ball = t(np.array(lms, np.int64)), np.array(face, np.float32), t(ball)
        self.head_rest = self.heads[:, self.bones_names.index('head')].contiguous()


def normals(x, tri):
    a, b, c = x[tri[:, 0]], x[tri[:, 1]], x[tri[:, 2]]
    n = np.cross(b - a, c - a)
    out = np.zeros_like(x)
    for k in range(3):
        np.add.at(out, tri[:, k], n)
    return (out / (np.linalg.norm(out, axis=1, keepdims=True) + 1e-12)).astype(np.float32)


def attributes(x, heads, wi, wv, bones, lm_rest, lm):
    """Per vertex: leg weight, place along the leg (0 hip, 1 ankle), arm weight, place along the arm (0 shoulder, 1 wrist), height in
    the trunk (0 crotch, 1 neck), head weight, height above the hair line (m), height above the crotch (m)."""
    H = {b: heads[i] for i, b in enumerate(bones)}
    out = np.zeros((len(x), NA), np.float32)
    w = lambda names: sum((wv * (wi == bones.index(b))).sum(1) for b in names)
    for s in 'LR':
        lw = w([b + s for b in ('upperleg01.', 'upperleg02.', 'lowerleg01.', 'lowerleg02.', 'foot.', 'toe.')])
        foot = w(['foot.' + s, 'toe.' + s])
        a, k, e = H['upperleg01.' + s], H['lowerleg01.' + s], H['foot.' + s]
        u = ((x - a) @ (k - a)) / ((k - a) @ (k - a)); v = ((x - k) @ (e - k)) / ((e - k) @ (e - k))
        along = np.where(u < 1, 0.5 * u, 0.5 + 0.5 * np.clip(v, 0, 1)) + np.where(foot > 0.6, 0.2, 0) * (u >= 1)
        own = lw > out[:, 0]
        out[own, 1] = along[own]; out[own, 0] = lw[own]
        aw = w([b + s for b in ('upperarm01.', 'upperarm02.', 'lowerarm01.', 'lowerarm02.', 'wrist.')])
        hand = w(['wrist.' + s])
        a, k, e = H['upperarm01.' + s], H['lowerarm01.' + s], H['wrist.' + s]
        u = ((x - a) @ (k - a)) / ((k - a) @ (k - a)); v = ((x - k) @ (e - k)) / ((e - k) @ (e - k))
        along = np.where(u < 1, 0.5 * u, 0.5 + 0.5 * np.clip(v, 0, 1)) + np.where(hand > 0.6, 0.2, 0) * (u >= 1)
        own = aw > out[:, 2]
        out[own, 3] = along[own]; out[own, 2] = aw[own]
    hip, knee = H['upperleg01.L'][1], H['lowerleg01.L'][1]
    middle = (np.abs(x[:, 2]) < 0.012) & (x[:, 1] > knee) & (x[:, 1] < hip + 0.05)
    crotch = x[middle, 1].min() if middle.any() else hip - 0.08
    neck = H['neck01'][1]
    out[:, 4] = (x[:, 1] - crotch) / (neck - crotch)
    out[:, 5] = w(['head', 'neck03'])
    eye, ear = np.array(lm_rest['eyes']['L']), x[lm['earL']]
    dx = x[:, 0] - ear[0]
    line = np.where(dx > 0, eye[1] + 0.018 + 0.62 * dx - 0.9 * np.maximum(0, dx - 0.055), eye[1] + 0.018 + 1.25 * dx)
    line = np.maximum(line, eye[1] - 0.085)
    out[:, 6] = x[:, 1] - line
    out[:, 7] = x[:, 1] - (crotch + 0.005)
    return out


class CpuKernels:
    def __init__(self, library):
        self.lib = ctypes.CDLL(library)

    def __call__(self, name, items, *args):
        conv = [ctypes.c_longlong(items)]
        for a in args:
            conv.append(ctypes.c_void_p(a.data_ptr()) if torch.is_tensor(a) else ctypes.c_int(a))
        getattr(self.lib, name)(*conv)


class GpuKernels:
    def __init__(self, source):
        import cupy
        self.cp = cupy
        self.module = cupy.RawModule(code=open(source).read(), options=('-std=c++17', '--use_fast_math'))
        self.fn = {k: self.module.get_function(k) for k in ('skin', 'raster', 'shade')}

    def __call__(self, name, items, *args):
        conv = [np.int64(items)]
        for a in args:
            conv.append(np.uint64(a.data_ptr()) if torch.is_tensor(a) else np.int32(a))
        stream = self.cp.cuda.ExternalStream(torch.cuda.current_stream().cuda_stream)
        with stream:
            self.fn[name](((items + 127) // 128,), (128,), tuple(conv))


def quat_matrix(q):
    x, y, z, w = q.unbind(-1)
    return torch.stack([1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w), 2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w),
                        2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)], -1).reshape(*q.shape[:-1], 3, 3)


def hsv(rng, n, s=(0, 1), v=(0.02, 0.95)):
    """Random colours in linear light."""
    h, s, v = rng.random(n), rng.uniform(*s, n), rng.uniform(*v, n)
    k = lambda m: v * (1 - s * np.clip(np.minimum((m + h * 6) % 6, 4 - (m + h * 6) % 6), 0, 1))
    return np.stack([k(5), k(3), k(1)], 1) ** 2.2


class Renderer:
    def __init__(self, bank, kernels, seed=1):
        self.bank, self.kernels, self.rng = bank, kernels, np.random.default_rng(seed)

    def draw(self, rows, mild=False):
        """Pictures (n, 3, 256, 256) from 0 to 1 before camera faults, joints (n, 19, 2) in crop pixels, look-alike numbers for reports."""
        B, rng, dev = self.bank, self.rng, self.bank.device
        n = len(rows)
        meta = B.meta[rows]
        raw = B.bones[torch.from_numpy(rows).to(dev)].float()
        q = raw[..., :4] / 32766
        q = q / q.norm(dim=-1, keepdim=True)
        pos = raw[..., 4:] / B.pos_scale
        R = quat_matrix(q)
        shape = torch.from_numpy(meta[:, 0].astype(np.int64)).to(dev)
        heads = B.heads[shape][:, None]
        tr = pos - (R @ heads[..., None])[..., 0]
        mats = torch.cat([R, tr[..., None]], -1).reshape(n, 2, NB, 12).contiguous()
        x, y, z, w = q.unbind(-1)
        tx, ty, tz = tr.unbind(-1)
        dual = torch.stack([0.5 * (tx * w + ty * z - tz * y), 0.5 * (-tx * z + ty * w + tz * x), 0.5 * (tx * y - ty * x + tz * w), -0.5 * (tx * x + ty * y + tz * z)], -1)
        quats = torch.cat([q, dual], -1).contiguous()
        # joints
        base = B.base[shape].long()
        place = {}
        for j, b in BONE_OF.items():
            for s in 'LR':
                place[j + s] = pos[:, 0, B.bones_names.index(b + s)]
        li = B.lms[base]
        lw, lwi = B.wv[base[:, None], li], B.wi[base[:, None], li].long()
        rest = B.rest[shape[:, None], li]
        m0 = mats[:, 0].reshape(n, NB, 3, 4)
        ar = torch.arange(n, device=dev)[:, None]
        lmk = 0
        for k in range(4):
            m = m0[ar, lwi[..., k]]
            lmk = lmk + lw[..., k:k + 1] * ((m[..., :3] @ rest[..., None])[..., 0] + m[..., 3])
        for k, name in enumerate(('nose', 'earL', 'earR', 'heelL', 'heelR', 'toeL', 'toeR')):
            place[name] = lmk[:, k]
        world = torch.stack([place[j] for j in JOINTS], 1)
        extra = torch.stack([pos[:, 0, B.bones_names.index('toe.' + s)] for s in 'LR'], 1)
        down = -R[:, 0, B.bones_names.index('head'), 1]  # gravity as the head sees it
        ip, clut, kp = self.parameters(world.cpu().numpy().astype(np.float64), extra.cpu().numpy(), down.cpu().numpy(), meta, mild)
        # the head's tip for the crop's size is the hair line's top: good enough within the random margin
        ipt, cl = torch.from_numpy(ip).to(dev), torch.from_numpy(clut).to(dev)
        sh32, bs32 = shape.int().contiguous(), base.int().contiguous()
        f = lambda *s: torch.empty(*s, device=dev)
        oP, oV, oN = f(n, B.nvT, 3), f(n, B.nvT, 3), f(n, B.nvT, 3)
        self.kernels('skin', n * B.nvT, B.nvT, B.nv, B.rest, B.nrm, B.wi, B.wv, B.attr, mats, quats, sh32, bs32, B.ball, B.head_rest, ipt, oP, oV, oN)
        nt = B.tri.shape[0]
        sb = torch.full((n, SH, SH), -1, dtype=torch.int64, device=dev)
        self.kernels('raster', n * nt, n, nt, B.nvT, 0, 1, 0, B.tri, oP, oV, ipt, sb)
        out = torch.zeros(n, 3, SZ, SZ, device=dev)
        zb = torch.empty(n, SZ, SZ, dtype=torch.int64, device=dev)
        for sub in range(4):
            zb.fill_(-1)
            self.kernels('raster', n * nt, n, nt, B.nvT, 0, 0, sub, B.tri, oP, oV, ipt, zb)
            self.kernels('raster', n * nt, n, nt, B.nvT, 1, 0, sub, B.tri, oP, oV, ipt, zb)
            self.kernels('shade', n * SZ * SZ, n, nt, B.nbt, B.nvT, B.nv, sub, B.tri, oP, oV, oN, B.rest, B.attr, sh32, bs32, ipt, cl, zb, sb, out)
        kp = torch.from_numpy(kp.astype(np.float32)).to(dev)
        flip = torch.from_numpy(rng.random(n) < 0.5).to(dev)
        out = torch.where(flip[:, None, None, None], out.flip(3), out)
        mir = kp[:, SWAP].clone()
        mir[..., 0] = SZ - mir[..., 0]
        kp = torch.where(flip[:, None, None], mir, kp)
        self.info = dict(yaw=self.view_angle, flip=flip, world=world, extra=ip[:, P['EXTRA']], black=ip[:, P['BLACK']:P['BLACK'] + 4], shutter=ip[:, P['SHUT']], entry=meta[:, 1], kind=meta[:, 3])
        return out.clamp(0, 1), kp

    def parameters(self, world, balls_of_foot, head_down, meta, mild):
        rng, n = self.rng, len(world)
        ip = np.zeros((n, NP), np.float32)
        put = lambda name, v: ip.__setitem__((slice(None), slice(P[name], P[name] + (v.shape[1] if np.ndim(v) == 2 else 1))), v if np.ndim(v) == 2 else np.broadcast_to(np.asarray(v), (n,))[:, None])
        U = lambda a, b: rng.uniform(a, b, n)
        on = lambda p: rng.random(n) < p
        hip = (world[:, 9] + world[:, 10]) / 2
        sho = (world[:, 3] + world[:, 4]) / 2
        top = world[:, 0] + 0.6 * (world[:, 0] - sho)
        # camera: near the side of travel, any direction now and then; or (`filmed`) where it stands to film the whole pass, so
        # that it is ahead of a body that starts and behind one that lands; either side
        ang = np.where(on(0.12) if not mild else on(0.0), U(-180, 180), np.clip(rng.normal(0, 9 if mild else 17, n), -50, 50))
        dist = np.exp(U(np.log(2.6), np.log(9)))
        height = U(0.35, 1.9)
        aside = U(-0.42, 0.42) * dist
        filmed = on(0.75 if mild else 0.5)
        along, span = meta[:, 4] / 1000, meta[:, 5] / 1000
        field = np.radians(np.where(on(0.75), U(48, 72), U(30, 44)))
        away = np.clip((span + 1.8) / 2 / np.tan(field / 2) * U(0.95, 1.4), 2.2, 9)
        stands = rng.normal(0, 0.14, n) * span
        ahead = stands - along
        looks = U(0, 1) * stands - along + rng.normal(0, 0.04, n) * away  # between straight across and the middle of the pass
        ang = np.where(filmed, np.degrees(np.arctan2(ahead, away)), ang)
        dist = np.where(filmed, np.hypot(ahead, away), dist)
        height = np.where(filmed, np.clip(rng.normal(1.1, 0.3, n), 0.35, 1.9), height)
        mirrored = on(0.5)
        ang = np.where(mirrored, 180 - ang, ang)
        self.view_angle = ang
        a = np.radians(ang)
        cam = np.stack([hip[:, 0] + dist * np.sin(a), height, hip[:, 2] + dist * np.cos(a)], 1)
        aim = hip + np.stack([np.where(filmed, looks, aside * np.cos(a)), U(-0.12, 0.12) * dist, np.where(filmed, 0, -aside * np.sin(a))], 1)
        roll = np.radians(np.clip(rng.normal(0, 2.5, n), -8, 8))
        back = cam - aim
        back /= np.linalg.norm(back, axis=1, keepdims=True)
        right = np.cross(np.array([0, 1.0, 0]), back)
        right /= np.linalg.norm(right, axis=1, keepdims=True)
        up = np.cross(back, right)
        c, s = np.cos(roll)[:, None], np.sin(roll)[:, None]
        right, up = c * right + s * up, -s * right + c * up

        def normal_xy(w):
            d = w - cam[:, None]
            z = -np.einsum('nki,ni->nk', d, back)
            return np.stack([np.einsum('nki,ni->nk', d, right) / z, -np.einsum('nki,ni->nk', d, up) / z], -1)
        pts = np.concatenate([world, top[:, None], balls_of_foot, hip[:, None], sho[:, None]], 1)
        uv = normal_xy(pts)
        h2, s2 = uv[:, -2], uv[:, -1]
        # the crop as a tracker gives it: around the hips, as large as the body's circle, along the trunk; all a little off
        reach = np.linalg.norm(uv[:, [0, 7, 8, 13, 14, 17, 18, 19]] - h2[:, None], axis=2).max(1)
        side = 2.5 * reach * np.exp(np.clip(rng.normal(self.crop_bias, self.crop_spread, n), -0.45, 0.45))
        along = np.arctan2(s2[:, 0] - h2[:, 0], -(s2[:, 1] - h2[:, 1]))
        over = np.abs(along) > 1.2  # a tracker comes here turning with the body, a frame behind
        tilt = along + np.radians(rng.normal(0, np.where(over, 11, 7), n))
        tilt = np.where(on(0.15) & (~over | on(0.2)), U(-0.35, 0.35), tilt)
        centre = h2 + side[:, None] * rng.normal(0, 0.025, (n, 2)) + np.where(on(0.15), 1, 0)[:, None] * side[:, None] * rng.normal(0, 0.07, (n, 2))
        k, ct, st = SZ / side, np.cos(tilt), np.sin(tilt)
        # crop = k * Rot(-tilt) * (uv - centre) + 128
        A = np.stack([np.stack([k * ct, k * st], 1), np.stack([-k * st, k * ct], 1)], 1)
        b = SZ / 2 - np.einsum('nij,nj->ni', A, centre)
        kp = np.einsum('nij,nkj->nki', A, uv[:, :19]) + b[:, None]
        rows = np.stack([right, -up, -back], 1)
        M = np.concatenate([rows, -np.einsum('nij,nj->ni', rows, cam)[..., None]], 2)
        K = np.zeros((n, 3, 3))
        K[:, :2, :2], K[:, :2, 2], K[:, 2, 2] = A, b, 1
        put('PCAM', (K @ M).reshape(n, 12))
        put('RAY', (np.transpose(rows, (0, 2, 1)) @ np.linalg.inv(K)).reshape(n, 9))
        put('CAM', cam)
        # light
        az, el = U(0, 2 * np.pi), np.radians(U(25, 85))
        sun = np.stack([np.cos(el) * np.cos(az), np.sin(el), np.cos(el) * np.sin(az)], 1)
        e1 = np.cross(np.array([0, 1.0, 0]), sun); e1 /= np.linalg.norm(e1, axis=1, keepdims=True)
        e2 = np.cross(sun, e1)
        kk = SH / 3.6
        S = np.zeros((n, 3, 4))
        for r, e, g in ((0, e1, kk), (1, e2, kk), (2, -sun, 1)):
            S[:, r, :3] = e * g
        mid = hip + np.array([0, -0.1, 0])
        S[:, :, 3] = np.array([SH / 2, SH / 2, 8.0]) - np.einsum('nij,nj->ni', S[:, :, :3], mid)
        put('PSUN', S.reshape(n, 12)); put('SUN', sun)
        soft = on(0.35)
        put('SUNI', np.where(soft, U(0.05, 0.4), U(0.4, 1.5))); put('AMB', np.where(soft, U(0.5, 1.0), U(0.15, 0.7))); put('SHADOW', np.where(soft, U(0, 0.5), U(0.3, 1.0)))
        tint = lambda w: np.clip(1 + rng.normal(0, w, (n, 3)), 0.5, 1.5)
        put('UPC', tint(0.08)); put('DNC', tint(0.12) * U(0.35, 0.95)[:, None]); put('SUNC', tint(0.1))
        put('EXPO', np.where(on(0.05 if mild else 0.2), U(0.15, 0.5), U(0.8, 2.0) if mild else U(0.6, 1.6))); put('GAMMA', U(0.38, 0.6)); put('BIAS', 0.018)
        # look
        tone = rng.random(n) ** 0.8
        skin = np.array([0.80, 0.50, 0.36]) * (1 - tone[:, None]) + np.array([0.09, 0.045, 0.03]) * tone[:, None]
        put('SKIN', np.clip(skin * tint(0.1), 0.02, 0.95)); put('SKINN', U(0.05, 0.3)); put('SPEC', np.where(on(0.5), 0, U(0, 0.35)))
        put('HAIR', np.where(on(0.75)[:, None], np.array([0.02, 0.013, 0.009]) * np.exp(rng.normal(0.4, 0.8, (n, 1))), np.array([0.45, 0.25, 0.1]) * U(0.3, 1.3)[:, None] * tint(0.15)))
        cl = [hsv(rng, n) for _ in range(4)]
        match = on(0.45)[:, None]
        put('TOPA', cl[0]); put('TOPB', cl[1]); put('BOTA', np.where(match, cl[0], cl[2])); put('BOTB', np.where(match, cl[1], cl[3])); put('SOCK', hsv(rng, n, (0, 0.5)))
        skinlike = on(0.06)[:, None]
        put('TOPA', np.where(skinlike, skin, ip[:, P['TOPA']:P['TOPA'] + 3]))
        sleeve = np.select([on(0.4), on(0.5)], [-1.0, U(0.15, 0.45)], U(0.5, 1.05))
        put('SLEEVE', sleeve); put('HEM', np.select([on(0.2), on(0.2)], [U(0.5, 0.65), U(0.3, 0.5)], U(-0.1, 0.2))); put('NECK', U(0.82, 1.02)); put('WAIST', U(0.15, 0.45))
        leo = on(0.4)
        put('LEGLEN', np.where(leo, 0.3, np.select([on(0.35), on(0.5)], [U(0.08, 0.3), U(0.3, 0.6)], U(0.7, 1.0)))); put('CUT', np.where(leo, U(0.3, 1.3), 0))
        put('SOCKS', np.select([on(0.6), on(0.5)], [9.0, U(0.86, 1.0)], 1.08))
        put('TOPPAT', np.where(on(0.55), 0, rng.integers(1, 8, n))); put('BOTPAT', np.where(on(0.7), 0, rng.integers(1, 8, n))); put('PATF', np.exp(U(np.log(6), np.log(45))))
        put('LOOSET', np.where((~leo) & on(0.45), U(0.004, 0.03), 0)); put('LOOSEB', np.where((~leo) & on(0.4), U(0.004, 0.03), 0)); put('WRF', U(8, 40)); put('SEED', rng.integers(1, 60000, n))
        put('HAIRL', np.where(on(0.05), 0.03, U(-0.02, 0.01))); put('HAIRD', U(0.0, 0.022)); put('DQ', U(0.1, 1.0))
        face = self.bank.face[meta[:, 0]]
        put('EYEY', face[:, 1]); put('EYEZ', face[:, 2]); put('LIPY', face[:, 3]); put('FACEX', face[:, 4])
        balls = np.zeros((n, NS, 4))
        style = rng.integers(0, 5, n)
        hb = np.array([-0.07, 0.13, 0.0])
        for i in range(n):
            if style[i] == 1:  # bun
                balls[i, 0] = [hb[0] + rng.normal(-0.01, 0.02), hb[1] + rng.normal(0, 0.04), 0, rng.uniform(0.03, 0.055)]
            elif style[i] in (2, 3):  # tail, swung about
                d = np.array([rng.uniform(-1, -0.1), rng.uniform(-1, 0.3), rng.normal(0, 0.3)]); d /= np.linalg.norm(d)
                if head_down[i, 1] > -0.3:  # upside down: hangs towards the floor
                    d = d + head_down[i] * rng.uniform(0, 1.5); d /= np.linalg.norm(d)
                droop = head_down[i] * rng.uniform(0, 0.6)
                p, r, step = hb.copy(), rng.uniform(0.018, 0.032), rng.uniform(0.025, 0.05)
                for m in range(NS):
                    balls[i, m] = [*p, r * (1 - 0.05 * m)]
                    d = d + droop * 0.3; d /= np.linalg.norm(d); p = p + d * step
        put('BALLS', balls.reshape(n, -1))
        # surroundings
        low = np.minimum(np.minimum(world[:, [15, 16, 17, 18], 1].min(1), balls_of_foot[:, :, 1].min(1)), world[:, [7, 8], 1].min(1) - 0.05)
        put('FLOORY', np.where(on(0.85), low - U(0.0, 0.02), low - U(0.02, 0.35)))
        put('FLA', hsv(rng, n, (0, 0.85), (0.15, 0.95))); put('FLB', np.where(on(0.6)[:, None], ip[:, P['FLA']:P['FLA'] + 3] * U(0.6, 1.3)[:, None], hsv(rng, n)))
        put('FLPAT', rng.integers(0, 8, n)); put('FLF', np.exp(U(np.log(0.5), np.log(12)))); put('FLANG', U(0, np.pi))
        put('WALLD', np.where(on(0.85), U(0.9, 6), 40)); put('WALLANG', a + np.radians(rng.normal(0, 12, n)))
        wallhip = ip[:, P['WALLD']] - (hip[:, 0] * np.sin(ip[:, P['WALLANG']]) + hip[:, 2] * np.cos(ip[:, P['WALLANG']]))
        put('WALLD', wallhip)
        put('WA', hsv(rng, n, (0, 0.6), (0.15, 0.98))); put('WB', np.where(on(0.6)[:, None], ip[:, P['WA']:P['WA'] + 3] * U(0.6, 1.3)[:, None], hsv(rng, n))); put('WPAT', rng.integers(0, 8, n)); put('WF', np.exp(U(np.log(0.6), np.log(8))))
        put('SKY', hsv(rng, n, (0, 0.5), (0.3, 1))); put('LINEZ', hip[:, 2] + U(-2, 2)); put('LINEW', np.where(on(0.5), U(0.01, 0.08), 0))
        far = np.array([-1e4, -1e4, 1e4, 1e4])
        black = np.tile(far, (n, 1))
        lo, hi = kp.min(1) - 10, kp.max(1) + 10
        for kk_, edge in enumerate((0, 1, 2, 3)):
            m = on(0.13) & (np.abs(tilt) < 0.6)
            bound = (lo[:, edge] - np.abs(rng.normal(0, 22, n))) if edge < 2 else (hi[:, edge - 2] + np.abs(rng.normal(0, 22, n)))
            black[:, edge] = np.where(m, bound, black[:, edge])
        put('BLACK', black)
        ex = on(0.16)
        put('EXTRA', ex.astype(np.float32))
        t = U(0, 2 * np.pi); put('EXC', np.cos(t)); put('EXS', np.sin(t))
        behind, aside = -U(0.5, 3.0), U(-1.6, 1.6)
        front = on(0.08); behind = np.where(front, U(0.5, 0.9), behind); aside = np.where(front, np.sign(aside) * U(0.7, 1.4), aside)
        put('EXX', hip[:, 0] + behind * np.sin(a) + aside * np.cos(a)); put('EXZ', hip[:, 2] + behind * np.cos(a) - aside * np.sin(a))
        # exposure in units of the pose pair's spacing; at 30 fps half the frame is 1/60 s = 4 spacings
        put('SHUT', np.where(on(0.55), 0, U(0.2, 5.0)))
        clut = np.zeros((n, NC, CP), np.float32)
        many = np.where(on(0.25), 0, rng.integers(1, NC, n))
        idx = np.arange(NC)[None]
        use = idx < many[:, None]
        sh = (n, NC)
        clut[..., 0] = np.where(use, rng.integers(1, 9, sh), 0)
        clut[..., 1], clut[..., 2] = rng.uniform(-30, 286, sh), rng.uniform(-30, 286, sh)
        clut[..., 3], clut[..., 4] = np.exp(rng.uniform(np.log(3), np.log(80), sh)), np.exp(rng.uniform(np.log(3), np.log(80), sh))
        clut[..., 5] = np.where(rng.random(sh) < 0.6, tilt[:, None] * -1, rng.uniform(0, 3.14, sh))
        clut[..., 6:9] = hsv(rng, n * NC).reshape(n, NC, 3) * rng.uniform(0.2, 1, sh)[..., None]
        occ = on(0.08)
        clut[:, 0, 9] = occ
        clut[:, 0, 0] = np.where(occ, rng.integers(1, 3, n), clut[:, 0, 0])
        clut[:, 0, 3] = np.where(occ, U(2, 9), clut[:, 0, 3]); clut[:, 0, 4] = np.where(occ, U(10, 160), clut[:, 0, 4])
        return ip, clut, kp

    crop_bias, crop_spread = 0.0, 0.11


def camera_faults(x, rng, strength=1.0):
    """Blur, small source size, gain, colour cast, noise and block compression, all at random; blur, noise and compression times strength."""
    n, dev = x.shape[0], x.device
    r = lambda lo, hi: torch.from_numpy(rng.uniform(lo, hi, n).astype(np.float32)).to(dev)[:, None, None, None]
    on = lambda p: torch.from_numpy((rng.random(n) < p)).to(dev)[:, None, None, None]
    # source smaller than the crop
    k = int(rng.choice([0, 0, 96, 128, 160, 200]))
    if k:
        m = int(n * 0.3)
        y = torch.nn.functional.interpolate(x[:m], size=(k, k), mode='area')
        x = torch.cat([torch.nn.functional.interpolate(y, size=(SZ, SZ), mode='bilinear', align_corners=False), x[m:]])
    # gaussian blur, per picture, separable 7 taps
    sig = torch.where(on(0.5), r(0.05, 0.5), r(0.3, 1.7))[:, 0, 0, 0] * strength + 1e-3
    t = torch.arange(-4, 5, device=dev).float()
    w = torch.exp(-0.5 * (t[None] / sig[:, None]) ** 2)
    w = w / w.sum(1, keepdim=True)
    y = x.permute(1, 0, 2, 3)
    y = torch.nn.functional.conv2d(torch.nn.functional.pad(y, (0, 0, 4, 4), mode='replicate'), w[:, None, :, None], groups=n)
    y = torch.nn.functional.conv2d(torch.nn.functional.pad(y, (4, 4, 0, 0), mode='replicate'), w[:, None, None, :], groups=n)
    x = y.permute(1, 0, 2, 3)
    black = (x.sum(1, keepdim=True) > 0.004).float()
    # gain, contrast, cast
    gain = torch.exp(torch.from_numpy(rng.normal(0, 0.12, (n, 3, 1, 1)).astype(np.float32)).to(dev) * 0.6)
    x = x * gain * r(0.8, 1.15) + r(-0.04, 0.05)
    gray = x.mean(1, keepdim=True)
    x = gray + (x - gray) * r(0.6, 1.25)
    # noise, grainy at its own scale
    amp = torch.where(on(0.5), r(0.0, 0.012), r(0.01, 0.05)) * strength
    g = torch.randn(n, 3, SZ, SZ, device=dev) * 0.6 + torch.randn(n, 1, SZ, SZ, device=dev)
    if rng.random() < 0.5:
        g = torch.nn.functional.avg_pool2d(g, 2, 1, 0)
        g = torch.nn.functional.pad(g, (0, 1, 0, 1), mode='replicate') * 1.6
    x = (x + amp * g).clamp(0, 1)
    # block compression: 8x8 cosine transform, quantised, chroma coarser
    D = torch.tensor([[(0.125 if i == 0 else 0.25) ** 0.5 * np.cos((2 * j + 1) * i * np.pi / 16) for j in range(8)] for i in range(8)], device=dev, dtype=torch.float32)
    C = torch.tensor([[.299, .587, .114], [-.1687, -.3313, .5], [.5, -.4187, -.0813]], device=dev)
    y = torch.einsum('ij,njhw->nihw', C, x)
    y = torch.cat([y[:, :1], torch.nn.functional.interpolate(torch.nn.functional.avg_pool2d(y[:, 1:], 2), scale_factor=2, mode='bilinear', align_corners=False)], 1)
    off = int(rng.integers(0, 8))
    y = torch.roll(y, (off, off), (2, 3))
    b = y.reshape(n, 3, SZ // 8, 8, SZ // 8, 8)
    f = torch.einsum('ui,ncaibj,vj->ncaubv', D, b, D)
    u = torch.arange(8, device=dev).float()
    step = strength * torch.where(on(0.4), r(0.0, 0.03), r(0.02, 0.16))[:, :, :, :, None, None] * (0.35 + 0.13 * (u[:, None, None] + u))[None, None, None] + 1e-4
    step = step * torch.tensor([1., 1.6, 1.6], device=dev)[None, :, None, None, None, None]
    f = torch.round(f / step) * step
    y = torch.einsum('ui,ncaubv,vj->ncaibj', D, f, D).reshape(n, 3, SZ, SZ)
    y = torch.roll(y, (-off, -off), (2, 3))
    x = torch.einsum('ij,njhw->nihw', torch.linalg.inv(C), y)
    return (x * black).clamp(0, 1)
