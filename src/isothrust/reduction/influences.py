"""What else may have moved a run's curves: one entry a source of error, with its sign kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np

from isothrust.records.curve import Influence, Scope
from isothrust.records.job import RunJob
from isothrust.records.recording import Floats
from isothrust.records.rig import StatedUncertainty

__all__ = ["Fitted", "ShiftList", "scale_influences", "speed_influence"]

_INF = float("inf")


@dataclass(frozen=True, slots=True)
class Fitted:
    """A curve with what is needed to see how an error of the data moves it."""

    coefficients: Floats
    gain: Floats
    """(p, n)"""
    size: Floats
    """Reading per unit of curve (n,)."""
    power: int
    """Power of the speed in `size`: 2 for thrust and torque, 3 for electrical power, 0 for voltage."""

    def shift(self, reading_error: Floats) -> Floats:
        """Return the change of the coefficients (p,) for an error of the readings (n,)."""
        return np.asarray(self.gain @ (reading_error / self.size))


@dataclass(slots=True)
class ShiftList:
    """Collects influences of one run."""

    job: RunJob
    items: list[Influence] = field(default_factory=list)

    def add(
        self, source: str, key: str, scope: Scope, shifts: Mapping[str, Floats], *, degrees_of_freedom: float = _INF
    ) -> None:
        """Keep an influence unless it moves nothing."""
        moved = {name: shift for name, shift in shifts.items() if shift.any()}
        if moved:
            self.items.append(Influence(source, key, scope, degrees_of_freedom, moved))

    def of_run(self, source: str, shifts: Mapping[str, Floats], *, degrees_of_freedom: float = _INF) -> None:
        """Keep an influence that is this run's alone."""
        run = self.job.run
        key = f"run {run.campaign}/{run.name} {source}"
        self.add(source, key, "run", shifts, degrees_of_freedom=degrees_of_freedom)

    def of_rig(self, source: str, shifts: Mapping[str, Floats]) -> None:
        """Keep an influence common to all runs on this rig."""
        self.add(source, f"rig {self.job.rig.name} {source}", "rig", shifts)


_SCALES = (
    ("thrust", ("thrust",)),
    ("torque", ("torque",)),
    ("voltage", ("voltage", "electrical-power")),
    ("current", ("current", "electrical-power")),
    ("electrical-power", ("electrical-power",)),
    ("throttle", ("throttle",)),
)


def scale_influences(
    stated: Mapping[str, StatedUncertainty], curves: Mapping[str, Fitted]
) -> Iterator[tuple[str, dict[str, Floats]]]:
    """Yield each channel whose proportional uncertainty is stated, with the shifts it makes."""
    for channel, touched in _SCALES:
        u = stated.get(channel)
        if u is not None and u.relative > 0.0:
            yield f"{channel} scale", {n: u.relative * curves[n].coefficients for n in touched if n in curves}


def speed_influence(relative: float, curves: Mapping[str, Fitted], stretch: Floats) -> dict[str, Floats]:
    """Return the shifts when every speed is higher than read by a share of itself.

    At a given true speed the reading belongs to a lower one: f moves by -(power f + x f'). `stretch` (p, p) makes x
    f' of f.
    """
    return {
        name: -relative * (curve.power * curve.coefficients + stretch @ curve.coefficients)
        for name, curve in curves.items()
    }
