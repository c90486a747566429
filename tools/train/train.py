"""Trains joint heads on endless rendered crops. See README.md for the recipe.

  python3 train.py --banks a [c …] --held b [d …] --model DIR/blazepose-full --out OUT --seconds 450
"""
import argparse
import json
import os
import threading
import queue
import time

import numpy as np
import torch
import torch.nn as nn
import torch.nn.functional as F

from backbone import STOCK, TAPS, Backbone, stock_landmarks
from head import BEND_EDGES, CELL, J, FairBends, Head, bend_back, decode, export, exported, loss_of, normalise_anew, shapes, turn
from renderer import JOINTS, SZ, Bank, CpuKernels, GpuKernels, Renderer, camera_faults

ap = argparse.ArgumentParser()
ap.add_argument('--banks', nargs='+', required=True)
ap.add_argument('--held', nargs='*', default=[], help='banks that are only for figures, each by itself')
ap.add_argument('--model', required=True)
ap.add_argument('--out', required=True)
ap.add_argument('--seconds', type=float, default=60, help='0 only judges the head of --init')
ap.add_argument('--batch', type=int, default=192)
ap.add_argument('--lr', type=float, default=2.5e-3)
ap.add_argument('--init', default=None)
ap.add_argument('--go-on', default=None, help='path without ending of an exported head to train on from, e.g. the shipped one')
ap.add_argument('--heads', nargs='+', default=['M', 'S'])
ap.add_argument('--evals', type=int, default=16)
ap.add_argument('--cpu', default=None, help='path of the kernels built by g++')
ap.add_argument('--seed', type=int, default=1)
ap.add_argument('--mild', type=float, default=0.0, help='share of batches seen from the side under good conditions')
ap.add_argument('--dumps', type=int, default=0)
ap.add_argument('--rivals', type=int, default=1, help='also fit the cheap rivals')
ap.add_argument('--warm', type=int, default=300, help='steps of warming up')
ap.add_argument('--exact', action='store_true', help='weigh places and angles more')
ap.add_argument('--fair', action='store_true', help='keep the mean error of knee bends at nothing for every true bend')
ap.add_argument('--keep', type=float, default=0, help='also write the averaged weights every so many seconds')
A = ap.parse_args()
dev = 'cpu' if A.cpu else 'cuda'
half = torch.float32 if A.cpu else torch.float16
os.makedirs(A.out, exist_ok=True)
torch.manual_seed(A.seed)
if dev == 'cuda':
    torch.backends.cudnn.benchmark = True
    torch.backends.cuda.matmul.allow_tf32 = True
    torch.backends.cudnn.allow_tf32 = True

here = os.path.dirname(os.path.abspath(__file__))
kernels = CpuKernels(A.cpu) if A.cpu else GpuKernels(os.path.join(here, 'render.cu'))
t_start = time.time()
bank = Bank(A.banks, dev)
held = [Bank([folder], dev) for folder in A.held]
backbone = Backbone(A.model + '.json', A.model + '.bin', STOCK + [t[0] for t in TAPS]).to(dev).eval()
if dev == 'cuda':
    backbone = backbone.half().to(memory_format=torch.channels_last)
print(f'ready after {time.time() - t_start:.1f} s, {len(bank.meta)} poses', flush=True)

CONFIGS = {'M': dict(), 'S': dict(early=False, finest=False, c64=40, b64=1, b32=2), 'L': dict(c64=64, c32=112, c16=160, b64=3, b32=3), 'N': dict(finest=False)}


@torch.no_grad()
def features(x):
    if dev == 'cuda':
        x = x.half().to(memory_format=torch.channels_last)
    o = backbone(x)
    return o[:3], o[3:]


def sample(R, b, n, mild=False):
    x, kp = R.draw(R.rng.integers(0, len(b.meta), n), mild)
    return camera_faults(x, R.rng, 0.6 if mild else 1.0), kp


class Flat(nn.Module):
    """The cheap rival: an MLP from the stock landmarks and scores to joint places."""

    def __init__(self, wide=512):
        super().__init__()
        self.n = nn.Sequential(nn.Linear(195, wide), nn.ReLU(), nn.Linear(wide, wide), nn.ReLU(), nn.Linear(wide, J * 2))

    def forward(self, ld):
        r = ld.float().reshape(-1, 39, 5)
        c = r[:, 33:34, :2]
        z = torch.cat([(r[..., :2] - c) / 64, r[..., 2:3] / 128, torch.sigmoid(r[..., 3:])], 2).flatten(1)
        # starts from the stock points
        pick = [0, 7, 8, 11, 12, 13, 14, 15, 16, 23, 24, 25, 26, 27, 28, 29, 30, 31, 32]
        return r[:, pick, :2] + 16 * self.n(z).reshape(-1, J, 2), z


heads = {k: Head(**CONFIGS[k]).to(dev) for k in A.heads}
if dev == 'cuda':
    heads = {k: h.to(memory_format=torch.channels_last) for k, h in heads.items()}
if A.init:
    for k in heads:
        old = torch.load(f'{A.init}/{k}.pt', map_location=dev)
        for name, fresh in heads[k].state_dict().items():  # maps added since then start afresh
            if old[name].shape != fresh.shape:
                grown = fresh.clone()
                grown[:len(old[name])] = old[name]
                old[name] = grown
        heads[k].load_state_dict(old)
if A.go_on:
    for k in heads:
        heads[k].load_state_dict(exported(A.go_on).state_dict())
        R0 = Renderer(bank, kernels, A.seed + 1000)
        normalise_anew(heads[k], [[m.float() for m in features(sample(R0, bank, min(A.batch, 64), i % 2 == 0)[0])[1]] for i in range(2 if A.cpu else 24)])
shadow = {k: {n: v.detach().clone() for n, v in h.state_dict().items()} for k, h in heads.items()}
flat = Flat().to(dev)
opts = {k: torch.optim.AdamW(h.parameters(), A.lr, weight_decay=1e-4, betas=(0.9, 0.98)) for k, h in heads.items()}
fopt = torch.optim.Adam(flat.parameters(), 1e-3)
gram, moment = torch.zeros(196, 196, device=dev, dtype=torch.float64), torch.zeros(196, J * 2, device=dev, dtype=torch.float64)
for k, h in heads.items():
    print(k, f'{sum(p.numel() for p in h.parameters()) / 1e3:.0f} k weights, {h.macs() / 1e6:.0f} M multiply-adds', flush=True)

R = Renderer(bank, kernels, A.seed)
ready = queue.Queue(3)
stopped = threading.Event()


def produce():
    """Draws batches on a stream of its own, ahead of the training."""
    torch.set_grad_enabled(False)
    stream = torch.cuda.Stream() if dev == 'cuda' else None
    with torch.cuda.stream(stream):
        while not stopped.is_set():
            mild = R.rng.random() < A.mild
            x, kp = sample(R, bank, A.batch, mild)
            done = stream.record_event() if stream else None
            while not stopped.is_set():
                try:
                    ready.put((x, kp, mild, done), timeout=0.2)
                    break
                except queue.Full:
                    pass


def next_batch():
    x, kp, mild, done = ready.get()
    if done is not None:
        main = torch.cuda.current_stream()
        main.wait_event(done)
        x.record_stream(main); kp.record_stream(main)
    return x, kp, mild


if dev == 'cuda':
    for name, f in (('draw', lambda: R.draw(R.rng.integers(0, len(bank.meta), A.batch))), ('draw again', lambda: R.draw(R.rng.integers(0, len(bank.meta), A.batch))), ('faults', lambda: camera_faults(torch.rand(A.batch, 3, SZ, SZ, device=dev), R.rng)), ('faults again', lambda: camera_faults(torch.rand(A.batch, 3, SZ, SZ, device=dev), R.rng)), ('features', lambda: features(torch.rand(A.batch, 3, SZ, SZ, device=dev))), ('features again', lambda: features(torch.rand(A.batch, 3, SZ, SZ, device=dev)))):
        torch.cuda.synchronize(); t = time.time(); f(); torch.cuda.synchronize(); print(f'{name} {1000 * (time.time() - t):.0f} ms', flush=True)
worker = threading.Thread(target=produce, daemon=True)
worker.start()
t0, step, log = time.time(), 0, []
amp = torch.autocast('cuda', dtype=torch.float16) if dev == 'cuda' else torch.autocast('cpu', enabled=False)
scalers = {k: torch.cuda.amp.GradScaler(enabled=dev == 'cuda') for k in heads}
fair = {k: FairBends(dev) for k in heads} if A.fair else {}
kept = 0.0
while True:
    frac = (time.time() - t0) / A.seconds if A.seconds else 1
    if frac >= 1:
        break
    lr = A.lr * min(1, (step + 1) / A.warm) * (0.5 * (1 + np.cos(np.pi * frac)) * 0.98 + 0.02)
    x, kp, mild = next_batch()
    (ld, flag, heat), f = features(x)
    report = {}
    for k, h in heads.items():
        h.train()
        for g in opts[k].param_groups:
            g['lr'] = lr
        with amp:
            raw = h(f)
        loss = loss_of(raw, kp, A.exact, fair.get(k), mild)
        opts[k].zero_grad(set_to_none=True)
        scalers[k].scale(loss).backward()
        scalers[k].unscale_(opts[k])
        torch.nn.utils.clip_grad_norm_(h.parameters(), 5.0)
        scalers[k].step(opts[k])
        scalers[k].update()
        report[k] = loss.detach()
        decay = min(0.999, (step + 1) / (step + 10))
        with torch.no_grad():
            for n, v in h.state_dict().items():
                if v.dtype.is_floating_point:
                    shadow[k][n].mul_(decay).add_(v, alpha=1 - decay)
                else:
                    shadow[k][n].copy_(v)
    if A.rivals:
        fxy, z = flat(ld)
        ins = ((kp > 1) & (kp < 255)).all(2, keepdim=True).float()
        fl = (F.smooth_l1_loss(fxy, kp, reduction='none', beta=1.0) * ins).mean()
        for g in fopt.param_groups:
            g['lr'] = 1e-3 * (lr / A.lr)
        fopt.zero_grad(); fl.backward(); fopt.step()
        with torch.no_grad():
            z1 = torch.cat([z, torch.ones_like(z[:, :1])], 1).double()
            r = ld.float().reshape(-1, 39, 5)
            y = ((kp - r[:, 33:34, :2]) / 64).flatten(1).double()
            gram += z1.T @ z1
            moment += z1.T @ y
    step += 1
    if step % 100 == 0 or step == 3:
        line = {k: round(float(v), 3) for k, v in report.items()}
        if not all(np.isfinite(v) for v in line.values()):
            print('not finite', line, flush=True)
        print(f'{time.time() - t0:6.1f} s step {step} {step * A.batch / (time.time() - t0):.0f} pictures/s lr {lr:.1e} {line} flat {float(fl) if A.rivals else 0:.3f}', flush=True)
    if step % 1000 == 0:
        for k, f in fair.items():
            print('prices of bends', k, f.price.cpu().numpy().round(3).tolist(), flush=True)
    if A.keep and time.time() - t0 - kept > A.keep:
        kept = time.time() - t0
        for k in heads:
            torch.save(shadow[k], f'{A.out}/{k}.part')
            os.replace(f'{A.out}/{k}.part', f'{A.out}/{k}.pt')
stopped.set()
worker.join()
print(f'{step} steps, {step * A.batch} pictures', flush=True)
for k, h in heads.items():
    torch.save(h.state_dict(), f'{A.out}/{k}.last.pt')
    h.load_state_dict(shadow[k])
    h.eval()
    torch.save(h.state_dict(), f'{A.out}/{k}.pt')
ridge = torch.linalg.solve(gram + 1e-3 * len(gram) * torch.eye(196, device=dev, dtype=torch.float64), moment).float() if A.rivals else None

STOCK_OF = [0, 7, 8, 11, 12, 13, 14, 15, 16, 23, 24, 25, 26, 27, 28, 29, 30, 31, 32]


def bend_errors(xy, kp, m):
    """Mean of the bend shown too much, degrees, with its standard error and number, of the knees m (n, 2) by true bend."""
    true_bend = bend_back(kp, kp)
    error = torch.rad2deg(bend_back(xy, kp) - true_bend)
    near = ((xy - kp).abs().amax(2) < 16)[:, 9:15]
    m = m & torch.stack([near[:, i::2].all(1) for i in (0, 1)], 1)
    classes = torch.bucketize(true_bend, torch.tensor(BEND_EDGES))
    out = []
    for i in range(len(BEND_EDGES) + 1):
        e = error[m & (classes == i)]
        out.append([round(float(e.mean()), 2), round(float(e.std() / max(1, len(e)) ** 0.5), 2), len(e)] if len(e) > 1 else [0, 0, len(e)])
    return out


def exchanged_legs(xy, kp, m):
    """Share of the pictures m in which knees and ankles lie nearer to those of the other side."""
    way = lambda swap: sum((xy[:, a] - kp[:, b if swap else a]).norm(dim=1) + (xy[:, b] - kp[:, a if swap else b]).norm(dim=1) for a, b in ((11, 12), (13, 14)))
    return round(float((way(False) > way(True))[m].float().mean()), 4)


@torch.no_grad()
def evaluate(b, seed, mild, name):
    R = Renderer(b, kernels, seed)
    rows = {}
    truth, view, depth, crops = [], [], [], []
    for _ in range(A.evals):
        x, kp = sample(R, b, A.batch, mild)
        (ld, flag, heat), f = features(x)
        st, score, raw_st = stock_landmarks(ld, heat)
        r = ld.float().reshape(-1, 39, 5)[:, 33:35, :2]
        v = r[:, 1] - r[:, 0]
        crops.append(torch.stack([torch.log(v.norm(dim=1) / 102.4), torch.atan2(v[:, 0], -v[:, 1]), (r[:, 0] - 128)[:, 0], (r[:, 0] - 128)[:, 1], flag.float().flatten()], 1).cpu())
        got = {'stock': (st[:, STOCK_OF], None, None)}
        if ridge is not None:
            fxy, z = flat(ld)
            got['mlp'] = (fxy, None, None)
            zr = torch.cat([z, torch.ones_like(z[:, :1])], 1)
            got['ridge'] = ((zr @ ridge).reshape(-1, J, 2) * 64 + ld.float().reshape(-1, 39, 5)[:, 33:34, :2], None, None)
        for k, h in heads.items():
            with amp:
                raw = h(f)
            xy, logb, mass, _ = decode(raw)
            got[k] = (xy, logb, mass)
        for k, (xy, logb, mass) in got.items():
            rows.setdefault(k, []).append((xy.cpu(), None if logb is None else logb.cpu(), None if mass is None else mass.cpu()))
        truth.append(kp.cpu()); view.append(R.info['yaw']); depth.append(np.stack([R.info['entry'], R.info['shutter']], 1))
    kp = torch.cat(truth); yaw = np.concatenate(view)
    off = np.abs((yaw + 90) % 180 - 90)
    side = torch.from_numpy(off <= 20)
    inside = ((kp > 1) & (kp < 255)).all(2)
    tk, tt = shapes(kp)
    c = torch.cat(crops)
    print(name, 'the stock model would crop: log size', c[:, 0].quantile(torch.tensor([.05, .5, .95])).tolist(), 'turn', c[:, 1].quantile(torch.tensor([.05, .5, .95])).tolist(), 'offset px', c[:, 2].std().item(), c[:, 3].mean().item(), c[:, 3].std().item(), 'found', (c[:, 4] > .5).float().mean().item())
    out = {}
    for k, parts in rows.items():
        xy = torch.cat([p[0] for p in parts])
        e = (xy - kp).norm(dim=2)
        kk, tr = shapes(xy)
        dk = torch.rad2deg(kk - tk); dt = torch.rad2deg(turn(tt, tr))
        # lean is signed toward the picture's right: make it toward the bend of the knees, i.e. forward, by the toes
        fwd = torch.sign((kp[:, [17, 18], 0] - kp[:, [15, 16], 0]).sum(1))
        dt = dt * fwd
        m = side & inside[:, 9:15].all(1)
        bent = (torch.rad2deg(tk) < 110)
        mid = (torch.rad2deg(tk) >= 110) & (torch.rad2deg(tk) < 150)
        strg = torch.rad2deg(tk) >= 150
        mm = m[:, None]
        s = lambda d, w: [round(float(d[w].abs().mean()), 2), round(float(d[w].mean()), 2), round(float(d[w].abs().median()), 2)]
        leg = lambda q: sum((q[:, a] - q[:, b]).norm(dim=1) + (q[:, b] - q[:, c]).norm(dim=1) for a, b, c in ((9, 11, 13), (10, 12, 14))) / 2
        lr = (xy[:, 13] - xy[:, 14]).norm(dim=1) / leg(xy) - (kp[:, 13] - kp[:, 14]).norm(dim=1) / leg(kp)
        r = {'joint px mean': round(float(e[inside].mean()), 2), 'joint px median': round(float(e[inside].median()), 2),
             'knee <110': s(dk, mm & bent), 'knee 110-150': s(dk, mm & mid), 'knee >150': s(dk, mm & strg), 'trunk': s(dt, m), 'lunge ratio': [round(float(lr[m].abs().mean()), 4), round(float(lr[m].mean()), 4)],
             'bend too much': bend_errors(xy, kp, m[:, None].expand(-1, 2)),
             'legs exchanged': exchanged_legs(xy, kp, m),
             'per joint': {n: round(float(e[:, i][inside[:, i]].mean()), 2) for i, n in enumerate(JOINTS)}}
        if parts[0][1] is not None:
            b = torch.cat([p[1] for p in parts]).exp(); mass = torch.cat([p[2] for p in parts])
            sd = b * 2 ** 0.5
            zz = (xy - kp).abs() / sd[..., None]
            r['within 1.96 sd'] = round(float((zz[inside] < 1.96).float().mean()), 4)
            r['z95'] = round(float(torch.quantile(zz[inside].flatten()[:400000], 0.95)), 3)
            r['z95 per joint'] = {n: round(float(torch.quantile(zz[:, i][inside[:, i]].flatten(), 0.95)), 2) for i, n in enumerate(JOINTS)}
            r['mean sd'] = round(float(sd[inside].mean()), 2)
            # accuracy by stated sd
            q = torch.quantile(sd[inside], torch.tensor([0.25, 0.5, 0.75, 0.9]))
            r['sd quartiles'] = [round(float(v), 2) for v in q]
        out[k] = r
        short = {a: v for a, v in r.items() if not a.startswith('per') and not a.endswith('per joint')}
        print(name, k, json.dumps(short), flush=True)
    return out


result = {'steps': step, 'pictures': step * A.batch}
sets = [('own bodies', bank, 991, False)]
for folder, b in zip(A.held, held):
    label = f'held-out bodies, {os.path.basename(folder)}'
    sets += [(label, b, 992, False), (f'{label}, mild', b, 993, True)]
for name, b, seed, mild in sets:
    result[name] = evaluate(b, seed, mild, name)
json.dump(result, open(f'{A.out}/result.json', 'w'), indent=1)
for k, h in heads.items():
    export(h, f'{A.out}/joint-head-{k}', {})
# maps of held-out pictures, to develop the decoding away from the accelerator
first = next(iter(heads))
sources = held or [bank]
drawers = [Renderer(b, kernels, 77) for b in sources]
for part in range(A.dumps * len(sources)):
    of = part % len(sources)
    x, kp = sample(drawers[of], sources[of], min(A.batch, 36), part // len(sources) % 2 == 0)
    with torch.no_grad():
        (ld, flag, heat), f = features(x)
        with amp:
            raw = heads[first](f)
        st, score, _ = stock_landmarks(ld, heat)
    np.savez(f'{A.out}/maps-{part}.npz', raw=raw.half().cpu().numpy(), kp=kp.cpu().numpy(), stock=st.cpu().numpy(), score=score.cpu().numpy())
