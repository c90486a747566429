"""Reads joints from the head's maps limb by limb: the plain second path to workers/pose/read-joints.ts."""
import itertools

import numpy as np

from head import JOINTS

IX = {j: i for i, j in enumerate(JOINTS)}
J = len(JOINTS)


def heats(a):
    a = a - a.max((-1, -2), keepdims=True)
    e = np.exp(a)
    return e / e.sum((-1, -2), keepdims=True)


def window(p, x, y, reach):
    y0, y1, x0, x1 = max(0, y - reach), min(63, y + reach), max(0, x - reach), min(63, x + reach)
    return y0, y1, x0, x1, p[y0:y1 + 1, x0:x1 + 1]


def candidates(left, right):
    total, out = left + right, []
    while len(out) < 3:
        y, x = divmod(int(total.argmax()), 64)
        if out and total[y, x] < 0.002:
            break
        y0, y1, x0, x1, q = window(left, x, y, 3)
        out.append((x, y, q.sum(), window(right, x, y, 3)[4].sum()))
        total[y0:y1 + 1, x0:x1 + 1] = 0
    return out


def assemble(raw, factors=None):
    """Places (19, 2) and standard deviations (19,) in crop pixels from maps (channels, 64, 64)."""
    P, L = heats(raw[:J].astype(np.float64)), raw[2 * J:]
    xy, sd = np.zeros((J, 2)), np.zeros(J)
    factors = np.ones(J) if factors is None else factors

    def place(joint, source, x, y):
        y0, y1, x0, x1, q = window(P[source], x, y, 4)
        s = q.sum() + 1e-12
        xy[joint] = ((q.sum(0) * np.arange(x0, x1 + 1)).sum() / s + 0.5) * 4, ((q.sum(1) * np.arange(y0, y1 + 1)).sum() / s + 0.5) * 4
        sd[joint] = 2 ** 0.5 * np.exp(np.clip((q * raw[J + source][y0:y1 + 1, x0:x1 + 1]).sum() / s, -3, 5)) * factors[joint]

    for j in range(J):
        y, x = divmod(int(P[j].argmax()), 64)
        place(j, j, x, y)

    def settle(name, side, c):
        own, other = (c[2], c[3]) if side == 'L' else (c[3], c[2])
        source = side if own > 0.15 or own >= other else 'LR'['RL'.index(side)]
        place(IX[name + side], IX[name + source], c[0], c[1])

    for (a, b), ch in ((('knee', 'ankle'), 0), (('elbow', 'wrist'), 4)):
        A, B = (candidates(P[IX[n + 'L']].copy(), P[IX[n + 'R']].copy()) for n in (a, b))
        apart = [[min((np.hypot(L[ch][p[1], p[0]] * 64 - 4 * (q[0] - p[0]), L[ch + 1][p[1], p[0]] * 64 - 4 * (q[1] - p[1]))
                       + np.hypot(L[ch + 2][q[1], q[0]] * 64 - 4 * (p[0] - q[0]), L[ch + 3][q[1], q[0]] * 64 - 4 * (p[1] - q[1]))) / 16, 4) for q in B] for p in A]
        heat = lambda c: min(1, c[2] + c[3])
        best = None
        for i, j, k, m in itertools.product(range(len(A)), range(len(B)), range(len(A)), range(len(B))):
            s = np.log(A[i][2] + .05) + np.log(B[j][2] + .05) + np.log(A[k][3] + .05) + np.log(B[m][3] + .05) - apart[i][j] - apart[k][m]
            s += 6 * (sum(heat(A[q]) for q in {i, k}) + sum(heat(B[q]) for q in {j, m}))
            if best is None or s > best[0]:
                best = (s, i, j, k, m)
        _, i, j, k, m = best
        settle(a, 'L', A[i]); settle(b, 'L', B[j]); settle(a, 'R', A[k]); settle(b, 'R', B[m])
    for name in ('heel', 'toe'):
        C = candidates(P[IX[name + 'L']].copy(), P[IX[name + 'R']].copy())
        for side, at in (('L', 2), ('R', 3)):
            ankle = xy[IX['ankle' + side]].copy()
            settle(name, side, max(C, key=lambda c: np.log(c[at] + 0.01) - np.hypot((c[0] + .5) * 4 - ankle[0], (c[1] + .5) * 4 - ankle[1]) / 12))
    return xy, sd
