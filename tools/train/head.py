"""The joint head: a small network on the frozen backbone's feature maps that gives joint centres and how sure each is."""
import json
import math

import numpy as np
import torch
import torch.nn as nn
import torch.nn.functional as F

from backbone import TAPS
from renderer import JOINTS, SWAP

J, GRID, CELL, REACH = len(JOINTS), 64, 4, 4
# limb maps: standing on the first joint of either side, where is the second of the same limb (in units of 16 cells)
LIMBS = [('knee', 'ankle'), ('ankle', 'knee'), ('elbow', 'wrist'), ('wrist', 'elbow')]
LIMB_UNIT = 16
MAPS = 2 * J + 2 * len(LIMBS)


class Conv(nn.Module):
    """1 x 1 (or 2 x 2, stride 2) convolution and batch normalisation; folded into one convolution for shipping."""

    def __init__(self, a, b, k=1, relu=True):
        super().__init__()
        self.c, self.n, self.k, self.relu = nn.Conv2d(a, b, k, k, bias=False), nn.BatchNorm2d(b), k, relu

    def forward(self, x):
        y = self.n(self.c(x))
        return F.relu(y) if self.relu else y

    def fold(self):
        s = self.n.weight / torch.sqrt(self.n.running_var + self.n.eps)
        return self.c.weight * s[:, None, None, None], self.n.bias - self.n.running_mean * s


class Block(nn.Module):
    """Residual: 5 x 5 depthwise, then 1 x 1."""

    def __init__(self, c, k=5):
        super().__init__()
        self.d, self.dn, self.p, self.k = nn.Conv2d(c, c, k, 1, k // 2, groups=c, bias=False), nn.BatchNorm2d(c), Conv(c, c, relu=False), k

    def forward(self, x):
        return F.relu(x + self.p(self.dn(self.d(x))))

    def fold(self):
        s = self.dn.weight / torch.sqrt(self.dn.running_var + self.dn.eps)
        return self.d.weight * s[:, None, None, None], self.dn.bias - self.dn.running_mean * s


class Head(nn.Module):
    """Coarse to fine over 8, 16, 32 and 64 cells a side; out come 19 heat maps, 19 maps of log spread and 8 limb maps."""

    def __init__(self, c16=128, c32=80, c64=48, b16=3, b32=2, b64=2, early=True, finest=True):
        super().__init__()
        self.cfg = dict(c16=c16, c32=c32, c64=c64, b16=b16, b32=b32, b64=b64, early=early, finest=finest)
        self.in8 = Conv(288, c16)
        self.in16 = Conv(48 + (88 if early else 0), c16, relu=False)
        self.m16 = nn.ModuleList([Block(c16) for _ in range(b16)])
        self.up32 = Conv(c16, c32, relu=False)
        self.in32 = Conv(48 + (32 if early else 0), c32, relu=False)
        self.m32 = nn.ModuleList([Block(c32) for _ in range(b32)])
        self.up64 = Conv(c32, c64, relu=False)
        self.in64 = Conv(48 + (24 if early else 0), c64, relu=False)
        self.fine = Conv(16, c64, 2, relu=False) if finest else None
        self.m64 = nn.ModuleList([Block(c64) for _ in range(b64)])
        self.out = nn.Conv2d(c64, MAPS, 1)
        nn.init.normal_(self.out.weight, std=0.02)
        nn.init.zeros_(self.out.bias)

    def forward(self, f):
        d8, d16, e16, d32, e32, d64, e64, e128 = f
        early = self.cfg['early']
        up = lambda x: F.interpolate(x, scale_factor=2, mode='bilinear', align_corners=False)
        x = F.relu(up(self.in8(d8)) + self.in16(torch.cat([d16, e16], 1) if early else d16))
        for b in self.m16:
            x = b(x)
        x = F.relu(up(self.up32(x)) + self.in32(torch.cat([d32, e32], 1) if early else d32))
        for b in self.m32:
            x = b(x)
        y = up(self.up64(x)) + self.in64(torch.cat([d64, e64], 1) if early else d64)
        if self.fine is not None:
            y = y + self.fine(e128)
        x = F.relu(y)
        for b in self.m64:
            x = b(x)
        return self.out(x)

    def macs(self):
        c = self.cfg
        a, b, d = c['c16'], c['c32'], c['c64']
        m = 64 * 288 * a + 256 * (self.in16.c.in_channels * a + c['b16'] * (a * a + 25 * a) + a * b) + 1024 * (self.in32.c.in_channels * b + c['b32'] * (b * b + 25 * b) + b * d)
        return m + 4096 * (self.in64.c.in_channels * d + (64 * d if c['finest'] else 0) + c['b64'] * (d * d + 25 * d) + MAPS * d)


def decode(raw):
    """Places in crop pixels (n, J, 2), log b of a Laplace error in pixels (n, J), mass near the peak (n, J), log-probabilities."""
    n = raw.shape[0]
    logits, spread = raw[:, :J].float().reshape(n, J, -1), raw[:, J:2 * J].float().reshape(n, J, -1)
    lp = F.log_softmax(logits, 2)
    p = lp.exp()
    g = torch.arange(GRID, device=raw.device).float()
    peak = p.detach().argmax(2)
    px, py = (peak % GRID).float(), torch.div(peak, GRID, rounding_mode='floor').float()
    mx, my = ((g - px[..., None]).abs() <= REACH).float(), ((g - py[..., None]).abs() <= REACH).float()
    q = p.reshape(n, J, GRID, GRID) * my[..., :, None] * mx[..., None, :]
    mass = q.sum((2, 3))
    q = q / (mass[..., None, None] + 1e-12)
    xy = torch.stack([(q.sum(2) * g).sum(2), (q.sum(3) * g).sum(2)], -1)
    logb = (q.reshape(n, J, -1) * spread).sum(2)
    return (xy + 0.5) * CELL, logb.clamp(-3, 5), mass, lp


def target(kp, sigma=1.0):
    g = torch.arange(GRID, device=kp.device).float()
    c = kp / CELL - 0.5
    x, y = torch.exp(-0.5 * ((g - c[..., :1]) / sigma) ** 2), torch.exp(-0.5 * ((g - c[..., 1:]) / sigma) ** 2)
    t = y[..., :, None] * x[..., None, :]
    t = t.flatten(2)
    return t / (t.sum(2, keepdim=True) + 1e-9)


def angle(a, b, c):
    u, v = a - b, c - b
    return torch.atan2((u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]).abs() + 1e-6, (u * v).sum(-1))


def bend(a, b, c):
    """How far the limb turns at b, signed as the picture turns: to either side of straight alike, unlike angle."""
    return turn(b - a, c - b)


KNEES = [(9, 11, 13), (10, 12, 14)]


def bends(kp):
    """How far each knee turns, left and right (n, 2), radians, signed as the picture turns."""
    return torch.stack([bend(kp[:, a], kp[:, b], kp[:, c]) for a, b, c in KNEES], 1)


def bend_back(kp, true):
    """How far each knee bends, left and right (n, 2), radians: positive the way knees bend, told by where the true foot points."""
    cross = lambda u, v: u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    ways = [-torch.sign(cross(true[:, ankle] - true[:, knee], true[:, toe] - true[:, heel])) for knee, ankle, heel, toe in ((11, 13, 15, 17), (12, 14, 16, 18))]
    return bends(kp) * torch.stack(ways, 1)


BEND_EDGES = [math.radians(d) for d in (0, 4, 8, 14, 22, 40, 70, 100)]


class FairBends:
    """
    Keeps the mean error of a knee's bend at nothing for every true bend. Whoever learns to be off as little as possible
    draws toward the usual where it is unsure, so that a straight knee reads as a little bent. Here each class of true
    bends, of usual pictures and of ones seen from the side in fair light, has a price on too much bend that rises as long
    as too much is shown (a Lagrange multiplier, by dual ascent).
    """

    def __init__(self, device, rate=0.05, most=0.7):
        self.edges, self.price, self.rate, self.most = torch.tensor(BEND_EDGES, device=device), torch.zeros(2, len(BEND_EDGES) + 1, device=device), rate, most

    def loss(self, too_much, true_bend, counts, mild):
        """Of knees (n, 2): bend shown too much and true bend, radians; which count (0 or 1). A mean over those that count."""
        classes = torch.bucketize(true_bend, self.edges)
        with torch.no_grad():
            one_hot = F.one_hot(classes, len(BEND_EDGES) + 1).float() * counts[..., None]
            number = one_hot.sum((0, 1))
            mean = (one_hot * too_much[..., None]).sum((0, 1)) / number.clamp(min=1)
            row = self.price[int(mild)]
            row.add_(self.rate * mean * (number / (number + 4))).clamp_(-self.most, self.most)
        return (self.price[int(mild)][classes] * too_much * counts).sum() / (counts.sum() + 1)


def shapes(kp):
    """Knee angles left and right, trunk direction, lunge ratio (ankle to ankle over mean leg length), all from (n, J, 2)."""
    knees = torch.stack([angle(kp[:, a], kp[:, b], kp[:, c]) for a, b, c in KNEES], 1)
    t = (kp[:, 3] + kp[:, 4] - kp[:, 9] - kp[:, 10]) / 2
    return knees, t


def turn(a, b):
    """Signed angle from a to b."""
    return torch.atan2(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0], (a * b).sum(-1))


def limb_loss(raw, kp):
    n, total, count = len(kp), 0.0, 0.0
    inside = ((kp > 1) & (kp < 255)).all(2).float()
    for i, (a, b) in enumerate(LIMBS):
        ia, ib = [[JOINTS.index(j + s) for s in 'LR'] for j in (a, b)]
        start = kp[:, ia][:, :, None] + 3.5 * torch.randn(n, 2, 4, 2, device=kp.device)
        end = kp[:, ib][:, :, None]
        got = F.grid_sample(raw[:, 2 * J + 2 * i:2 * J + 2 * i + 2].float(), start / 128 - 1, mode='bilinear', padding_mode='border', align_corners=False).permute(0, 2, 3, 1)
        w = (inside[:, ia] * inside[:, ib])[:, :, None, None]
        total = total + (F.smooth_l1_loss(got, (end - start) / (CELL * LIMB_UNIT), reduction='none', beta=0.05) * w).sum()
        count = count + w.sum() * 8
    return total / (count + 1)


def loss_of(raw, kp, exact=False, fair=None, mild=False):
    """
    What is learned from; `exact` weighs places twice and angles one and a half times as much, for the last stage; `fair`
    (FairBends) keeps the mean errors of bends at nothing, for `mild` pictures apart.
    """
    xy, logb, mass, lp = decode(raw)
    inside = ((kp > 1) & (kp < 255)).all(2).float()
    t = target(kp)
    ce = -(t * lp).sum(2) + (t * torch.log(t + 1e-9)).sum(2)
    e = (xy - kp).abs()
    near = (e.amax(2) < 16).float() * inside
    # the stated spread is that of the right limb: an exchange of sides is for the track to settle
    exchanged = (xy - kp[:, SWAP]).abs()
    e_side = torch.where((exchanged.amax(2) < e.amax(2))[..., None], exchanged, e)
    es = torch.where(near[..., None] > 0, e, e_side.detach())
    nll = (es.sum(2) / logb.exp() + 2 * logb)
    l1 = F.smooth_l1_loss(xy, kp, reduction='none', beta=1.0).sum(2) * near
    (_, kp_t), (_, tr) = shapes(kp), shapes(xy)
    okk = torch.stack([near[:, list(s)].prod(1) for s in KNEES], 1)
    okt = near[:, [3, 4, 9, 10]].prod(1)
    ak = (F.smooth_l1_loss(bends(xy), bends(kp), reduction='none', beta=0.03) * okk).sum() / (okk.sum() + 1)
    at = (turn(kp_t, tr).abs() * okt).sum() / (okt.sum() + 1)
    s = inside.sum() + 1
    if fair is not None:
        true_bend = bend_back(kp, kp)
        ak = ak + fair.loss(bend_back(xy, kp) - true_bend, true_bend, okk, mild)
    places, angles = (0.5, 9) if exact else (0.25, 6)
    return (ce * inside).sum() / s + 0.3 * (nll * inside).sum() / s + places * (l1 * inside).sum() / s + angles * (ak + at) + 3 * limb_loss(raw, kp)


def exported(stem):
    """A head that `export` wrote, as it was: its batch normalisations change nothing but by their bias."""
    info = json.load(open(stem + '.json'))
    blob = np.fromfile(stem + '.bin', '<f2')
    stored = {e['name']: torch.from_numpy(blob[e['offset'] // 2:][:int(np.prod(e['shape']))].astype(np.float32).reshape(e['shape'])) for e in info['layers']}
    head = Head(**info['config'])

    @torch.no_grad()
    def take(conv, norm, name, depthwise=False):
        conv.weight.copy_(stored[f'{name}/weight'].permute(2, 3, 0, 1) if depthwise else stored[f'{name}/weight'].permute(3, 2, 0, 1))
        if norm is None:
            conv.bias.copy_(stored[f'{name}/bias'])
            return
        norm.running_mean.zero_()
        norm.running_var.fill_(1 - norm.eps)
        norm.weight.fill_(1)
        norm.bias.copy_(stored[f'{name}/bias'])
    for name in ('in8', 'in16', 'up32', 'in32', 'up64', 'in64', 'fine'):
        m = getattr(head, name)
        if m is not None:
            take(m.c, m.n, name)
    for level in ('m16', 'm32', 'm64'):
        for i, b in enumerate(getattr(head, level)):
            take(b.d, b.dn, f'{level}/{i}/depth', depthwise=True)
            take(b.p.c, b.p.n, f'{level}/{i}/point')
    take(head.out, None, 'out')
    return head


@torch.no_grad()
def normalise_anew(head, maps):
    """Gives an exported head batch normalisations that can be trained: what it makes stays the same over the tapped maps of `maps`."""
    head.eval()
    norms = [m for m in head.modules() if isinstance(m, nn.BatchNorm2d)]
    sums = {n: [0.0, 0.0, 0] for n in norms}

    def measure(norm, inputs):
        x = inputs[0].double()
        s = sums[norm]
        s[0], s[1], s[2] = s[0] + x.sum((0, 2, 3)), s[1] + (x * x).sum((0, 2, 3)), s[2] + x.numel() // x.shape[1]
    hooks = [n.register_forward_pre_hook(measure) for n in norms]
    for f in maps:
        head(f)
    for hook in hooks:
        hook.remove()
    for norm, (total, squares, count) in sums.items():
        mean = total / count
        var = (squares / count - mean * mean).clamp(min=0)
        norm.bias.add_(mean.float())
        norm.weight.copy_(torch.sqrt(var.float() + norm.eps))
        norm.running_mean.copy_(mean.float())
        norm.running_var.copy_(var.float())


def export(head, stem, extra):
    """Writes stem.bin (float16) and stem.json: layers in order, each a weight (height, width, in, out) and a bias."""
    layers, blob = [], b''

    def put(name, w, b, depthwise=False):
        nonlocal blob
        w = w.detach().float().cpu()
        w = w.permute(2, 3, 0, 1) if depthwise else w.permute(2, 3, 1, 0)
        for part, a in (('weight', w.contiguous().numpy()), ('bias', b.detach().float().cpu().numpy())):
            layers.append({'name': f'{name}/{part}', 'shape': list(a.shape), 'offset': len(blob)})
            blob += a.astype('<f2').tobytes()
    head.eval()
    for name in ('in8', 'in16', 'up32', 'in32', 'up64', 'in64', 'fine'):
        m = getattr(head, name)
        if m is not None:
            put(name, *m.fold())
    for level in ('m16', 'm32', 'm64'):
        for i, b in enumerate(getattr(head, level)):
            put(f'{level}/{i}/depth', *b.fold(), depthwise=True)
            put(f'{level}/{i}/point', *b.p.fold())
    put('out', head.out.weight, head.out.bias)
    json.dump({**extra, 'config': head.cfg, 'joints': JOINTS, 'limbs': LIMBS, 'limbUnitPx': CELL * LIMB_UNIT, 'taps': [t[0] for t in TAPS], 'tapChannels': [t[1] for t in TAPS], 'layers': layers}, open(stem + '.json', 'w'))
    open(stem + '.bin', 'wb').write(blob)
