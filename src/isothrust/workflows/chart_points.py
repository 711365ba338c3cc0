"""The conditions a curve is drawn through: round steps over what was measured."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final, Literal

from isothrust.quantities import MEASURANDS
from isothrust.records.reduced import ReducedRun

__all__ = ["drawn_conditions"]

POINTS: Final = 48
"""About how many points a curve is drawn through."""
STEPS: Final = (1.0, 2.0, 2.5, 5.0, 10.0)
SLOWEST: Final = 0.25
"""Of the greatest speed: below it thrust is a few per cent of its greatest, and coefficients are mostly noise."""
LEAST: Final = 0.08
"""Of the greatest thrust: as much."""


def drawn_conditions(runs: Iterable[ReducedRun], quantity: Literal["thrust", "speed"]) -> tuple[float, ...]:
    """Return speeds [rad/s] or thrusts [N] in round steps of the shown unit; none where no run has a curve of it."""
    tops = [top for run in runs if (top := _top(run, quantity)) is not None]
    if not tops:
        return ()
    unit = MEASURANDS[quantity].shown_unit
    top = unit.from_si(max(tops))
    least = top * (SLOWEST if quantity == "speed" else LEAST)
    rough = (top - least) / POINTS
    size = 10.0 ** math.floor(math.log10(rough))
    step = next(size * nice for nice in STEPS if size * nice >= rough)
    first, last = math.ceil(least / step), math.floor(top / step)
    return tuple(unit.to_si(step * number) for number in range(first, last + 1))


def _top(run: ReducedRun, quantity: Literal["thrust", "speed"]) -> float | None:
    """Return the greatest speed or thrust of a run's curves; a clamped spline ends at its last coefficient."""
    curve = next(iter(run.curves.values()), None)
    if curve is None:
        return None
    if run.abscissa == "root-thrust":
        return None if quantity == "speed" else curve.high**2
    if quantity == "speed":
        return curve.high
    thrust = run.curves.get("thrust")
    return None if thrust is None else run.standard_density * thrust.high**2 * float(thrust.coefficients[-1])
