"""A propeller as what a motor has to turn: thrust and torque over speed, with everything that may have moved them."""

from __future__ import annotations

from dataclasses import dataclass

from isothrust.records.curve import Scope
from isothrust.records.recording import Floats

__all__ = ["LoadSource", "PropellerLoad"]


@dataclass(frozen=True, slots=True)
class LoadSource:
    """What one standard uncertainty of a source, upwards, does to thrust and torque."""

    source: str
    key: str
    scope: Scope
    degrees_of_freedom: float
    thrust: Floats
    """(k,) [N]"""
    torque: Floats
    """(k,) [N m]"""


@dataclass(frozen=True, slots=True)
class PropellerLoad:
    """Thrust and torque of a design at k speeds, aerodynamic and steady, in air of one density."""

    design: str
    campaign: str
    runs: tuple[str, ...]
    speed: Floats
    """Rising (k,) [rad/s]."""
    thrust: Floats
    """(k,) [N]"""
    torque: Floats
    """(k,) [N m]"""
    density: float
    """[kg/m3]"""
    sources: tuple[LoadSource, ...]
    low: float
    """Least speed that was measured [rad/s]."""
    high: float
    """Greatest speed that was measured [rad/s]."""
    flags: tuple[str, ...] = ()
