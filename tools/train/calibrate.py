"""Prints the factors that make the head's stated spread cover 95 % on dumped maps of held-out bodies (train.py --dumps).

  python3 calibrate.py maps-0.npz [maps-1.npz …]

Joints whose sides are exchanged are left out: the track settles sides, the spread states the place of the right limb.
"""
import sys

import numpy as np

from assemble import assemble
from head import JOINTS
from renderer import SWAP

D = [np.load(f) for f in sys.argv[1:]]
kp, raw = np.concatenate([d['kp'] for d in D]), np.concatenate([d['raw'] for d in D]).astype(np.float32)
got = [assemble(r) for r in raw]
xy, sd = np.stack([g[0] for g in got]), np.stack([g[1] for g in got])
e, ex = np.abs(xy - kp), np.abs(xy - kp[:, SWAP])
ok = ((kp > 1) & (kp < 255)).all(2) & ~((ex.max(2) < e.max(2)) & (e.max(2) > 8))
z = e / sd[..., None]
kinds = {}
for i, j in enumerate(JOINTS):
    kinds.setdefault(j.rstrip('LR'), []).append(i)
f = np.ones(len(JOINTS))
for group in kinds.values():
    f[group] = np.quantile(np.concatenate([z[:, j][ok[:, j]].ravel() for j in group]), 0.95) / 1.96
print(len(kp), 'pictures; stated spread covers', round(float((z[ok] < 1.96).mean()), 4), 'and with the factors', round(float((z[ok] < 1.96 * np.repeat(f[None], len(kp), 0)[ok][:, None]).mean()), 4))
print([round(float(v), 2) for v in f])
