"""Recursive filters: each row from the rows before it.

Written as what they are, a triangular system with as many bands as the filter remembers rows, so that nothing but
linear algebra has to be loaded to simulate a bench.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.linalg.lapack import dtbtrs

from isothrust.virtual.monotone import Floats

__all__ = ["recurse"]


def recurse(top: Sequence[float] | Floats, bottom: Sequence[float] | Floats, values: Floats) -> Floats:
    """Return y with y[k] + bottom[1] y[k-1] + … = top[0] x[k] + top[1] x[k-1] + …; nothing came before the first row.

    `bottom[0]` is 1.
    """
    fresh = float(top[0]) * values
    for age, share in enumerate(top[1:], 1):
        fresh[age:] += float(share) * values[:-age]
    bands = np.empty((len(bottom), values.size), order="F")
    bands[:] = np.asarray(bottom, dtype=np.float64)[:, None]
    passed, state = dtbtrs(bands, fresh, uplo="L", diag="U", overwrite_b=1)
    assert state == 0, state
    return np.asarray(passed, dtype=np.float64)
