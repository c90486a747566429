"""Writes the mean of two exported heads of one layout, weight by weight.

  python3 mean-of-heads.py A B OUT      (paths without ending)

Of a head and one trained on from it, the mean is often better than both: they lie in one basin (Izmailov et al. 2018,
arXiv 1803.05407; Wortsman et al. 2022, arXiv 2203.05482).
"""
import json
import sys

import numpy as np

a, b, out = sys.argv[1:]
first, second = (json.load(open(f'{stem}.json')) for stem in (a, b))
if first['layers'] != second['layers']:
    raise SystemExit('the two heads are not of one layout')
np.mean([np.fromfile(f'{stem}.bin', '<f2').astype(np.float32) for stem in (a, b)], 0).astype('<f2').tofile(f'{out}.bin')
json.dump(second, open(f'{out}.json', 'w'))
