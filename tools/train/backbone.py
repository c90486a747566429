"""Runs the stock landmark graph (tfjs graph model) in torch, frozen, and gives its inner feature maps."""
import base64
import json

import numpy as np
import torch
import torch.nn.functional as F

PRE = 'StatefulPartitionedCall/model/'
# taps that the joint head reads: name, channels, side
TAPS = [(PRE + 're_lu_41/Relu6', 288, 8), (PRE + 'add_9/add', 48, 16), (PRE + 'add_5/add', 88, 16), (PRE + 'add_10/add', 48, 32), (PRE + 'add_1/add', 32, 32),
        (PRE + 'add_11/add', 48, 64), (PRE + 'add/add', 24, 64), (PRE + 'batch_normalization_2/FusedBatchNormV3', 16, 128)]
STOCK = [PRE + 'ld_3d/Reshape', PRE + 'output_poseflag/Reshape', PRE + 'activation_heatmap/Sigmoid']


def text(v):
    return base64.b64decode(v).decode()


class Backbone(torch.nn.Module):
    def __init__(self, json_path, bin_path, outputs):
        super().__init__()
        d = json.load(open(json_path))
        blob = open(bin_path, 'rb').read()
        at, self.const = 0, {}
        for w in d['weightsManifest'][0]['weights']:
            kind = np.dtype(w.get('quantization', {}).get('dtype', w['dtype']))
            count = int(np.prod(w['shape'])) if w['shape'] else 1
            a = np.frombuffer(blob, kind, count, at).reshape(w['shape'])
            at += count * kind.itemsize
            self.const[w['name']] = a
        nodes = {n['name']: n for n in d['modelTopology']['node']}
        order, seen = [], set()

        def visit(name):
            name = name.split(':')[0]
            if name in seen:
                return
            seen.add(name)
            for i in nodes[name].get('input', []):
                visit(i)
            order.append(name)
        for o in outputs:
            visit(o)
        self.outputs, self.steps, self.macs = outputs, [], {}
        used = {}
        for name in order:
            n = nodes[name]
            if n['op'] in ('Const', 'Placeholder'):
                continue
            ins = [i.split(':')[0] for i in n['input']]
            a = n.get('attr', {})
            step = {'name': name, 'op': n['op'], 'in': ins[0], 'ins': ins}
            if n['op'] in ('_FusedConv2D', 'FusedDepthwiseConv2dNative'):
                w, b = self.const[ins[1]], self.const[ins[2]]
                w = torch.from_numpy(w.astype(np.float32))
                depth = n['op'] != '_FusedConv2D'
                w = w.permute(2, 3, 0, 1) if depth else w.permute(3, 2, 0, 1)
                key = f'w{len(used)}'
                used[name] = key
                self.register_buffer(key, w.contiguous())
                self.register_buffer(key + 'b', torch.from_numpy(b.astype(np.float32)))
                step.update(w=key, stride=int(a['strides']['list']['i'][1]), same=text(a['padding']['s']) == 'SAME', groups=w.shape[0] if depth else 1,
                            relu6='Relu6' in [text(s) for s in a['fused_ops']['list']['s']])
            elif n['op'] == 'Pad':
                p = self.const[ins[1]]
                step['pad'] = (int(p[2][0]), int(p[2][1]), int(p[1][0]), int(p[1][1]))
            elif n['op'] == 'ResizeBilinear':
                step['size'] = [int(x) for x in self.const[ins[1]]]
            self.steps.append(step)

    def forward(self, x):
        v = {'input_1': x}
        last = {}
        for k, s in enumerate(self.steps):
            for i in s['ins']:
                last[i] = k
        for k, s in enumerate(self.steps):
            a = v[s['in']]
            op = s['op']
            if 'w' in s:
                w, b = getattr(self, s['w']), getattr(self, s['w'] + 'b')
                if s['same'] and (w.shape[2] > 1 or s['stride'] > 1):
                    t = [max((-(-q // s['stride']) - 1) * s['stride'] + w.shape[2] - q, 0) for q in a.shape[2:]]
                    if s['stride'] == 1 and t[0] % 2 == 0:
                        y = F.conv2d(a, w, b, 1, t[0] // 2, groups=s['groups'])
                    else:
                        a = F.pad(a, (t[1] // 2, t[1] - t[1] // 2, t[0] // 2, t[0] - t[0] // 2))
                        y = F.conv2d(a, w, b, s['stride'], groups=s['groups'])
                else:
                    y = F.conv2d(a, w, b, s['stride'], groups=s['groups'])
                if s['relu6']:
                    y = y.clamp(0, 6)
                self.macs[s['name']] = y[0].numel() * w[0].numel()
            elif op == 'AddV2':
                y = a + v[s['ins'][1]]
            elif op == 'Relu6':
                y = a.clamp(0, 6)
            elif op == 'Pad':
                y = F.pad(a, s['pad'])
            elif op == 'ResizeBilinear':
                y = F.interpolate(a, size=s['size'], mode='bilinear', align_corners=False)
            elif op == 'MaxPool':
                y = F.max_pool2d(a, 2)
            elif op == 'Sigmoid':
                y = torch.sigmoid(a)
            elif op == 'Reshape':
                y = a.permute(0, 2, 3, 1).reshape(a.shape[0], -1)
            elif op == 'Identity':
                y = a
            else:
                raise ValueError(op)
            v[s['name']] = y
            for i in s['ins']:
                if last.get(i) == k and i in v and i not in self.outputs:
                    del v[i]
        return [v[o] for o in self.outputs]


def stock_landmarks(ld, heat):
    """The stock pipeline's 33 points in crop pixels (n, 33, 2): regression refined by the heat nearby, and each score."""
    n = ld.shape[0]
    r = ld.float().reshape(n, 39, 5)
    xy, score = r[:, :33, :2].clone(), torch.sigmoid(r[:, :33, 3]) * torch.sigmoid(r[:, :33, 4])
    h = heat.float()[:, :33]
    g = torch.arange(64, device=ld.device).float()
    c = (xy / 256 * 64).trunc()
    wx = ((g - c[..., :1]).abs() <= 3).float()
    wy = ((g - c[..., 1:]).abs() <= 3).float()
    m = h * wy[..., :, None] * wx[..., None, :]
    s = m.sum((2, 3))
    ref = torch.stack([(m.sum(2) * g).sum(2) / (s + 1e-9), (m.sum(3) * g).sum(2) / (s + 1e-9)], -1) / 64 * 256
    inside = ((c >= 0) & (c < 64)).all(2) & (m.amax((2, 3)) >= 0.5) & (s > 0)
    return torch.where(inside[..., None], ref, xy), score, xy
