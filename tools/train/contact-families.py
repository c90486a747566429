"""Learns how feet land and leave and how hands touch the floor: writes src/phases/contact-families.ts.

  python3 contact-families.py FOLDER [FOLDER …] [--hands FOLDER …] > ../../src/phases/contact-families.ts

FOLDER holds truth files (fixtures/clips/README.md) of many motions, none of them a clip of the benches (those after --hands serve for hands alone). Every landing and
every toe-off becomes the paths of toe, heel, ankle, knee and hip around its instant, every touch of a hand those of wrist and elbow, in
leg lengths, x in the direction of travel, y downward; the family is their mean, their largest principal components scaled to one standard deviation, and what those
leave over. README.md says how the motions were drawn.
"""
import glob
import json
import sys

import numpy as np

STEP, REACH = 0.01, 0.15
# How far the hip is from the ankle at toe-off, as a share of the drawn distance: knees of 130 degrees and more.
LEAST_STRAIGHT = 0.91
# How much of the motion must follow, and when the first point rests, seconds from the instant.
AFTER = {'foot_contact': REACH, 'toe_off': REACH, 'hand_contact': 0.1}
REST = {'foot_contact': 0.08, 'toe_off': -0.08, 'hand_contact': 0.08}
GRID = np.arange(-round(REACH / STEP), round(REACH / STEP) + 1) * STEP


def at(path, x):
    """Cubic through the four frames around x (in frames)."""
    i = np.clip(np.floor(x).astype(int), 1, len(path) - 3)
    u = x - i
    p0, p1, p2, p3 = path[i - 1], path[i], path[i + 1], path[i + 2]
    return p1 + 0.5 * u * (p2 - p0 + u * (2 * p0 - 5 * p1 + 4 * p2 - p3 + u * (3 * (p1 - p2) + p3 - p0)))


def less_straight(legs, share):
    """Knee and hip of legs whose hip is as far from the ankle as the share says: bones keep their lengths. Rows: x, y of ankle, knee, hip."""
    ankle, knee, hip = legs[0:2], legs[2:4], legs[4:6]
    shank, thigh = np.hypot(*(knee - ankle)), np.hypot(*(hip - knee))
    moved = ankle + share * (hip - ankle)
    span = np.hypot(*(moved - ankle))
    along = (span ** 2 + shank ** 2 - thigh ** 2) / (2 * span)
    off = np.sqrt(np.maximum(shank ** 2 - along ** 2, 0))
    ahead = (moved - ankle) / span
    across = np.stack([-ahead[1], ahead[0]])
    side = np.sign(((knee - ankle) * np.stack([-(hip - ankle)[1], (hip - ankle)[0]])).sum(0))
    return np.concatenate([ankle + along * ahead + side * off * across, moved])


def windows(folders, kind, points):
    found = []
    shares = np.random.default_rng(1)
    for name in sorted(name for folder in folders for name in glob.glob(f'{folder}/*.truth.json')):
        truth = json.load(open(name))
        fps, frames, leg = truth['fps'], truth['frames'], truth['person']['leg_m']
        # A hand that cannot reach the floor touches nothing.
        if kind == 'hand_contact' and any('hand' in warning for warning in truth['solver_warnings']):
            continue
        for event in truth['events']['contacts']:
            t = event['s']
            last = (len(frames) - 3) / fps
            if event['type'] != kind or t < REACH + 2 / fps or t > last - AFTER[kind]:
                continue
            side = event['foot' if 'foot' in event else 'hand']
            xy = np.stack([np.array([frame['kp3d'][point + side][axis] * (1, -1)[axis] for frame in frames]) / leg for point in points for axis in (0, 1)])
            # What the motion does not show any more stays as it last was.
            window = np.stack([at(path, np.minimum(t + GRID, last) * fps) for path in xy])
            if kind == 'toe_off':
                # The drawn legs all leave the floor nearly straight; people's do not.
                window[6:10] = less_straight(window[4:10], shares.uniform(LEAST_STRAIGHT, 1))
            # Where it happens is no part of the shape: the first point rests at the origin.
            rest = np.array([min(t + REST[kind], last) * fps])
            window[0::2] -= at(xy[0], rest)
            window[1::2] -= at(xy[1], rest)
            found.append(window.ravel())
    return np.array(found)


def family(folders, kind, points, kept):
    all_of = windows(folders, kind, points)
    mean = all_of.mean(0)
    u, s, v = np.linalg.svd(all_of - mean, full_matrices=False)
    modes = v[:kept] * s[:kept, None] / np.sqrt(len(all_of))
    left = (all_of - mean - (u[:, :kept] * s[:kept]) @ v[:kept]).std(0)
    return len(all_of), mean, modes, left


def row(values):
    return '[' + ','.join(str(round(float(value) * 1e4)) for value in values) + ']'


split = sys.argv.index('--hands') if '--hands' in sys.argv else len(sys.argv)
FEET, HANDS = sys.argv[1:split], sys.argv[1:split] + sys.argv[split + 1:]

print('''import type { ShapeFamily } from '../signal/shape-family.ts';

// Written by tools/train/contact-families.py, do not edit. Channels: x and y of each point, in 1/10000 leg lengths.
''')
LEG = ('toe', 'heel', 'ankle', 'knee', 'hip')
for name, kind, points, kept, what in (
    ('LANDINGS', 'foot_contact', LEG, 18, 'How legs land: toe, heel, ankle, knee, hip'),
    ('TOE_OFFS', 'toe_off', LEG, 26, 'How legs leave the floor: toe, heel, ankle, knee, hip'),
    ('HAND_TOUCHES', 'hand_contact', ('wrist', 'elbow'), 12, 'How hands touch the floor: wrist, elbow'),
):
    count, mean, modes, left = family(HANDS if kind == 'hand_contact' else FEET, kind, points, kept)
    print(f'/** {what}; mean and spread of {count} drawn motions, seconds from the instant. */')
    print(f'export const {name}: ShapeFamily = {{')
    print(f'  fromS: {-REACH}, stepS: {STEP}, channels: {2 * len(points)}, unit: 1e-4,')
    print(f'  mean: {row(mean)},')
    print('  modes: [')
    for mode in modes:
        print(f'    {row(mode)},')
    print('  ],')
    print(f'  leftSd: {row(left)},')
    print('};\n')
