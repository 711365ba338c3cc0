"""Channels by hand, for the checks and the small parts of the reduction."""

from __future__ import annotations

import numpy as np

from isothrust.records.recording import Channel

__all__ = ["channel", "clock", "ramped"]


def clock(duration: float, rate: float = 1000.0) -> np.ndarray:
    return np.arange(round(duration * rate)) / rate


def channel(quantity: str, time: np.ndarray, values: np.ndarray, resolution: float | None = None) -> Channel:
    return Channel(quantity, np.asarray(time, dtype=np.float64), np.asarray(values, dtype=np.float64), resolution)


def ramped(time: np.ndarray, top: float, *, start: float = 2.0, end: float = 10.0, stop: float = 10.3) -> np.ndarray:
    """Rest, a straight rise to `top`, a short plateau, and nothing from `stop` on."""
    return np.where(time < stop, top * np.clip((time - start) / (end - start), 0.0, 1.0), 0.0)
