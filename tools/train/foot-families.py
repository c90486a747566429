"""Learns how feet land and leave: writes src/phases/foot-families.ts.

  python3 foot-families.py FOLDER [FOLDER …] > ../../src/phases/foot-families.ts

FOLDER holds truth files (fixtures/clips/README.md) of many motions, none of them a clip of the benches. Every landing and
every toe-off becomes the paths of toe, heel and ankle around its instant, in leg lengths, x in the direction of travel, y
downward; the family is their mean, their largest principal components scaled to one standard deviation, and what those
leave over. README.md says how the motions were drawn.
"""
import glob
import json
import sys

import numpy as np

CHANNELS = [(point, axis) for point in ('toe', 'heel', 'ankle') for axis in (0, 1)]
STEP, REACH, MODES = 0.01, 0.15, 12
GRID = np.arange(-round(REACH / STEP), round(REACH / STEP) + 1) * STEP


def at(path, x):
    """Cubic through the four frames around x (in frames)."""
    i = np.clip(np.floor(x).astype(int), 1, len(path) - 3)
    u = x - i
    p0, p1, p2, p3 = path[i - 1], path[i], path[i + 1], path[i + 2]
    return p1 + 0.5 * u * (p2 - p0 + u * (2 * p0 - 5 * p1 + 4 * p2 - p3 + u * (3 * (p1 - p2) + p3 - p0)))


def windows(folders, kind):
    found = []
    for name in sorted(name for folder in folders for name in glob.glob(f'{folder}/*.truth.json')):
        truth = json.load(open(name))
        fps, frames, leg = truth['fps'], truth['frames'], truth['person']['leg_m']
        for event in truth['events']['contacts']:
            t = event['s']
            if event['type'] != kind or t < REACH + 2 / fps or t > (len(frames) - 3) / fps - REACH:
                continue
            xy = np.stack([np.array([frame['kp3d'][point + event['foot']][axis] * (1, -1)[axis] for frame in frames]) / leg for point, axis in CHANNELS])
            window = np.stack([at(path, (t + GRID) * fps) for path in xy])
            # Where the foot stands is no part of the shape: the toe rests at the origin.
            rest = at(xy[0], np.array([(t + (0.08 if kind == 'foot_contact' else -0.08)) * fps]))[0], at(xy[1], np.array([(t + (0.08 if kind == 'foot_contact' else -0.08)) * fps]))[0]
            window[0::2] -= rest[0]
            window[1::2] -= rest[1]
            found.append(window.ravel())
    return np.array(found)


def family(folders, kind):
    all_of = windows(folders, kind)
    mean = all_of.mean(0)
    u, s, v = np.linalg.svd(all_of - mean, full_matrices=False)
    modes = v[:MODES] * s[:MODES, None] / np.sqrt(len(all_of))
    left = (all_of - mean - (u[:, :MODES] * s[:MODES]) @ v[:MODES]).std(0)
    return len(all_of), mean, modes, left


def row(values):
    return '[' + ','.join(str(round(float(value) * 1e4)) for value in values) + ']'


print('''import type { ShapeFamily } from '../signal/shape-family.ts';

// Written by tools/train/foot-families.py, do not edit. Channels: x and y of toe, of heel, of ankle, in 1/10000 leg lengths.
''')
for name, kind, what in (('LANDINGS', 'foot_contact', 'How feet land'), ('TOE_OFFS', 'toe_off', 'How feet leave the floor')):
    count, mean, modes, left = family(sys.argv[1:], kind)
    print(f'/** {what}: mean and spread of {count} drawn motions, seconds from the instant. */')
    print(f'export const {name}: ShapeFamily = {{')
    print(f'  fromS: {-REACH}, stepS: {STEP}, channels: {len(CHANNELS)}, unit: 1e-4,')
    print(f'  mean: {row(mean)},')
    print('  modes: [')
    for mode in modes:
        print(f'    {row(mode)},')
    print('  ],')
    print(f'  leftSd: {row(left)},')
    print('};\n')
