"""Random courses: white noise is numpy's own; red noise has a memory."""

from __future__ import annotations

import numpy as np

from isothrust.virtual.monotone import Floats
from isothrust.virtual.recursion import recurse

__all__ = ["red_noise"]


def red_noise(random: np.random.Generator, rows: int, memory: float) -> Floats:
    """First-order autoregressive noise of unit variance whose correlation falls to 1/e in `memory` rows."""
    keep = float(np.exp(-1 / memory))
    fresh = float(np.sqrt(1 - keep**2))
    white = fresh * random.standard_normal(rows)
    white[0] += keep * float(random.standard_normal())
    return recurse([1.0], [1.0, -keep], white)
