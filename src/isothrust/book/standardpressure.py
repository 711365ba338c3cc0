"""A pressure that is the standard one to the last digit, in a table in which other runs have readings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from isothrust.records.book import Run
from isothrust.records.finding import Finding

__all__ = ["standard_pressure"]

_STANDARD: Final = 101_325.0
"""[Pa] ISO 2533 at sea level."""
_SAME: Final = 5.0
"""A barometer in hPa, mmHg or inHg that is written down as the standard one lies this near to it [Pa]."""
_APART: Final = 200.0
"""Pressures this far apart are not those of one hour [Pa]."""


def standard_pressure(shown: str, runs: Sequence[Run]) -> list[Finding]:
    """Return a warning for runs whose pressure is the standard one to the digit, while others read something else.

    A lone reading of 1013.25 hPa may well be true. On several days, or beside readings far from it, it was filled in.
    """
    read = [run for run in runs if run.air is not None and run.air.pressure.origin == "run" and run.kind != "zero"]
    pressures = {run.name: run.air.pressure.value for run in read if run.air is not None}
    standard = [run for run in read if abs(pressures[run.name] - _STANDARD) <= _SAME]
    others = [pressures[run.name] for run in read if abs(pressures[run.name] - _STANDARD) > _APART]
    if not standard or not others:
        return []
    # a barometer passes the standard pressure on its way: then the day's other runs stand close by
    days = {run.date[:10] for run in read if _SAME < abs(pressures[run.name] - _STANDARD) <= _APART and run.date}
    doubtful = [run for run in standard if not run.date or run.date[:10] not in days]
    if not doubtful:
        return []
    mean = sum(others) / len(others)
    names = ", ".join(run.name for run in doubtful[:3]) + (
        f" and {len(doubtful) - 3} more" if len(doubtful) > 3 else ""
    )
    return [
        Finding(
            "air-implausible",
            "warning",
            f"{shown}: the pressure of {names} is the standard one to the last digit, where {len(others)} other runs "
            f"read {mean / 100.0:.1f} hPa on the mean: it was filled in, not read.",
            count=len(doubtful),
            effect=f"density, and with it coefficients, about {100.0 * (_STANDARD / mean - 1.0):+.1f} % off, if the "
            "days were alike",
            done="nothing",
        )
    ]
