"""Readings that physics forbids and a slip of the rig file explains: such a run is refused, with the slip named."""

from __future__ import annotations

import math
from typing import Final

from isothrust.errors import ReductionError
from isothrust.reduction.checks.physics.classes import class_figures
from isothrust.reduction.checks.physics.coefficients import Coefficients, coefficients_at_speed
from isothrust.reduction.evidence import Evidence

__all__ = ["refuse_doubtful_units"]

_OUT: Final = 5.0
"""Factor off the middle of its class that no propeller has, whatever its pitch [1]: the widest stays within 3.2."""
_NEAR: Final = 2.5
"""What the class leaves open beside a slip [1]."""
_G: Final = 9.80665
# True over read: what the reading has to be multiplied by, and the unit that does so.
_FORCE: Final = (
    (1e-3 * _G, "gf", "gf read as N"),
    (_G, "kgf", "kgf read as N"),
    (1000.0 / _G, "N", "N read as gf"),
    (1.0 / _G, "N", "N read as kgf"),
    (1e-3, "mN", "mN read as N, or a force in gf read as kgf"),
)
_MOMENT: Final = (
    (1e-2, "N cm", "N cm read as N m, or an arm in cm read as m"),
    (1e-3, "N mm", "N mm read as N m, or an arm in mm read as m"),
    (1e2, "N m", "N m read as N cm"),
    (1e3, "N m", "N m read as N mm, or an arm in m read as mm"),
    (1e-3 * _G, "gf", "a force in gf at an arm read as N"),
    (1000.0 / _G, "N", "a force in N at an arm read as gf"),
)


def refuse_doubtful_units(evidence: Evidence) -> None:
    """Raise ReductionError `thrust-unit-doubtful` or `torque-unit-doubtful` where a slip of units explains a run."""
    found = coefficients_at_speed(evidence.prepared, evidence.air, evidence.mechanics)
    if found is not None:
        _scales(evidence, found)


def _scales(evidence: Evidence, found: Coefficients) -> None:
    design = evidence.job.design
    usual = class_figures(design.blades, design.pitch, found.diameter)
    off_thrust = None if found.thrust is None else found.thrust / usual.thrust_coefficient
    off_torque = None if found.power is None else found.power / usual.power_coefficient
    # where both are off together it is speed, density or diameter, and others tell of these
    if off_thrust is not None and (off_torque is None or _fits(off_torque)):
        _refuse(evidence, "thrust", off_thrust, _FORCE)
    if off_torque is not None and (off_thrust is None or _fits(off_thrust)):
        _refuse(evidence, "torque", off_torque, _MOMENT)


def _fits(off: float) -> bool:
    return off > 0.0 and abs(math.log(off)) < math.log(_OUT)


def _refuse(evidence: Evidence, channel: str, off: float, slips: tuple[tuple[float, str, str], ...]) -> None:
    if off <= 0.0 or _fits(off):
        return
    factor, unit, slip = min(slips, key=lambda each: abs(math.log(off * each[0])))
    if abs(math.log(off * factor)) > math.log(_NEAR):
        return
    raise ReductionError(
        f"the {channel} of run {evidence.job.run.name} gives a coefficient {_times(off)} that of its class; "
        f"{slip} would be {_times(1.0 / factor)} too {'large' if factor < 1.0 else 'small'}",
        code="thrust-unit-doubtful" if channel == "thrust" else "torque-unit-doubtful",
        expected="a coefficient within a factor of three of what propellers of this blade count and pitch have",
        fix=f'check  unit  under [channels.{channel}] in rigs/{evidence.job.rig.name}.toml: unit = "{unit}"'
        + (", and the unit of the arms" if channel == "torque" else ""),
    )


def _times(factor: float) -> str:
    return f"{factor:.3g} times" if factor >= 1.0 else f"1/{1.0 / factor:.3g} of"
