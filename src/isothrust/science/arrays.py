"""What every science function takes and gives: arrays of float64, with a scalar as the array without axes."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["Bools", "Floats", "floats"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def floats(value: ArrayLike) -> Floats:
    """Return the value as an array of float64 without copying where that is possible.

    Parameters
    ----------
    value
        Number, sequence or array of any shape [any unit].

    Returns
    -------
    numpy.ndarray
        Same shape [same unit].
    """
    return np.asarray(value, dtype=np.float64)
