"""What the values of a column show by themselves: their range, their digits, how they step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Facts", "facts_of"]


@dataclass(frozen=True, slots=True)
class Facts:
    """What is seen of one column in the logs of a layout."""

    count: int
    """Readings looked at."""
    low: float
    high: float
    typical: float
    """Median size."""
    distinct: int
    whole: bool
    """True where every reading is a whole number."""
    rising: float
    """Share of steps between neighbours that go up."""
    falling: float
    step: float
    """Median step up [column's unit]."""
    steady: bool = False
    """True where nearly all steps are of one size, as those of a counter."""

    @property
    def moves(self) -> bool:
        """Say whether there are two readings that differ."""
        return self.high > self.low

    @property
    def clocklike(self) -> bool:
        """Say whether the readings go up all the time, as a clock or a count of rows does."""
        return self.count >= 3 and self.rising >= 0.9 and self.falling <= 0.02

    def spans(self) -> str:
        """Return the range in words."""
        return f"{shown(self.low)} to {shown(self.high)}"


def shown(value: float) -> str:
    """Return a number as short as it can be told: four digits."""
    text = f"{value:.4g}"
    return f"{value:.0f}" if "e+" in text and abs(value) < 1e12 else text


def facts_of(columns: Sequence[NDArray[np.float64]], strides: Sequence[int]) -> Facts | None:
    """Return what one column shows over several logs, each looked at in strides; None where it holds no number."""
    finite = [values[np.isfinite(values)] for values in columns]
    known = [values for values in finite if values.size]
    if not known:
        return None
    steps = [np.diff(values) / stride for values, stride in zip(finite, strides, strict=True)]
    all_steps = np.concatenate(steps)
    together = np.concatenate(known)
    ups = all_steps[all_steps > 0]
    return Facts(
        count=int(sum(values.size for values in known)),
        low=min(float(values.min()) for values in known),
        high=max(float(values.max()) for values in known),
        typical=float(np.median(np.abs(together))),
        distinct=int(np.unique(together).size),
        whole=bool(np.all(together == np.round(together))),
        rising=float(np.mean(all_steps > 0)) if all_steps.size else 0.0,
        falling=float(np.mean(all_steps < 0)) if all_steps.size else 0.0,
        step=float(np.median(ups)) if ups.size else 0.0,
        steady=ups.size > 0 and bool(np.mean(np.abs(all_steps - np.median(ups)) <= 0.01 * np.median(ups)) > 0.95),
    )
