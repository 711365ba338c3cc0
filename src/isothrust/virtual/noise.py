"""Random courses: white noise is numpy's own; red noise has a memory."""

from __future__ import annotations

import numpy as np
from scipy.signal import lfilter

from isothrust.virtual.monotone import Floats

__all__ = ["red_noise"]


def red_noise(random: np.random.Generator, rows: int, memory: float) -> Floats:
    """First-order autoregressive noise of unit variance whose correlation falls to 1/e in `memory` rows."""
    keep = float(np.exp(-1 / memory))
    fresh = float(np.sqrt(1 - keep**2))
    white = random.standard_normal(rows)
    course, _ = lfilter([fresh], [1.0, -keep], white, zi=[keep * float(random.standard_normal())])
    return np.asarray(course, dtype=np.float64)
