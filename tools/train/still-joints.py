"""Reads the joints of the reference still by the training code: the second path that fixtures/stills/passe-launch-joints.json holds.

  python3 still-joints.py MODELS/blazepose-full ../../workers/pose/joint-head > ../../fixtures/stills/passe-launch-joints.json

The picture is cut out as workers/pose/sample-crop.ts says (bilinear, chroma level with the left luma samples, ITU-R BT.709,
limited range), the head is the exported one.
"""
import gzip
import json
import os
import sys

import numpy as np
import torch

from assemble import assemble
from backbone import STOCK, TAPS, Backbone
from head import JOINTS, exported
from renderer import SZ

STILL = os.path.join(os.path.dirname(os.path.abspath(__file__)), '../../fixtures/stills/passe-launch-240x340.i420.gz')
WIDTH, HEIGHT = 240, 340
CROP = {'centreX': 121.6, 'centreY': 175.4, 'sidePx': 346.5, 'rotationRad': 0.097}


def cut_out(raw):
    """Red, green and blue from 0 to 1 (3, SZ, SZ) of CROP, black outside the picture."""
    luma = raw[:WIDTH * HEIGHT].reshape(HEIGHT, WIDTH)
    blue, red = (raw[int(WIDTH * HEIGHT * f):][:WIDTH * HEIGHT // 4].reshape(HEIGHT // 2, WIDTH // 2) for f in (1, 1.25))
    at = (np.arange(SZ) + 0.5 - SZ / 2) * CROP['sidePx'] / SZ
    u, v = np.meshgrid(at, at)
    c, s = np.cos(CROP['rotationRad']), np.sin(CROP['rotationRad'])
    x, y = CROP['centreX'] + c * u - s * v, CROP['centreY'] + s * u + c * v

    def bilinear(plane, x, y):
        plane = plane.astype(np.float64)
        x, y = np.clip(x, 0, plane.shape[1] - 1), np.clip(y, 0, plane.shape[0] - 1)
        i, j = np.minimum(x.astype(int), plane.shape[1] - 2), np.minimum(y.astype(int), plane.shape[0] - 2)
        right, below = x - i, y - j
        upper = plane[j, i] * (1 - right) + plane[j, i + 1] * right
        lower = plane[j + 1, i] * (1 - right) + plane[j + 1, i + 1] * right
        return upper * (1 - below) + lower * below
    light = (bilinear(luma, x - 0.5, y - 0.5) - 16) / 219
    cb, cr = ((bilinear(p, (x - 0.5) / 2, (y - 1) / 2) - 128) / 224 for p in (blue, red))
    kr, kb = 0.2126, 0.0722
    r, b = light + 2 * (1 - kr) * cr, light + 2 * (1 - kb) * cb
    rgb = np.stack([r, (light - kr * r - kb * b) / (1 - kr - kb), b]).clip(0, 1)
    return rgb * ((x >= 0) & (x <= WIDTH) & (y >= 0) & (y <= HEIGHT))


model, head = sys.argv[1:]
picture = torch.from_numpy(cut_out(np.frombuffer(gzip.open(STILL).read(), np.uint8)).astype(np.float32))[None]
with torch.no_grad():
    taps = Backbone(f'{model}.json', f'{model}.bin', STOCK + [t[0] for t in TAPS]).eval()(picture)[3:]
    maps = exported(head).eval()(taps)[0].numpy()
xy, sd = assemble(maps, np.array(json.load(open(f'{head}.json'))['spreadFactors']))
print(json.dumps({
    'from': 'tools/train/still-joints.py (torch): backbone.py, head.py, assemble.py', 'crop': CROP, 'joints': JOINTS,
    'xyCropPx': np.round(xy, 3).tolist(), 'sdCropPx': np.round(sd, 3).tolist()}, indent=1))
