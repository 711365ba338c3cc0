"""Readings that physics forbids and a slip of the rig file explains: such a run is refused, with the slip named."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from isothrust.errors import ReductionError, Where
from isothrust.records.job import RunJob
from isothrust.reduction.checks.physics.classes import class_figures
from isothrust.reduction.checks.physics.coefficients import Coefficients, coefficients_at_speed
from isothrust.reduction.checks.physics.slips import Slip, fitting_slips, slips_of
from isothrust.reduction.checks.physics.supplied import Supplied, supplied_at_speed
from isothrust.reduction.checks.speed.factor import check_factor
from isothrust.reduction.checks.throttle.settling import check_settling
from isothrust.reduction.evidence import Evidence

__all__ = ["refuse_doubtful_units"]

_OUT: Final = 5.0
"""Factor off the middle of its class that no propeller has, whatever its pitch [1]: the widest stays within 3.2."""
_NEAR: Final = 2.5
"""What the class leaves open beside a slip [1]."""
_ALONE: Final = 25.0
"""Factor from which one load without a witness is off by its unit: a speed so wrong has no tip speed of a rotor."""
_TIPS: Final = (35.0, 300.0)
"""Tip speeds [m/s] at the top of a run: a speed that is off by five leaves this range on one side or the other."""
_MERIT: Final = (0.08, 0.85)
"""Ideal power of the disc over what the controller takes, of any propeller on any motor [1]."""
_EFFICIENCY: Final = (0.2, 1.05)
"""Shaft power over what the controller takes, at the top of a run [1]."""
_BEYOND: Final = 1.6
"""How far outside these ranges a figure must lie before it is the unit, a factor of ten being the least slip [1]."""
_VOLTS: Final = (2.0, 100.0)
"""Supplies of a bench [V]."""

_CLASS: Final = "a coefficient within a factor of three of what propellers of this blade count and pitch have"
_WORDS: Final[Mapping[str, tuple[str, str]]] = {
    "thrust": ("thrust-unit-doubtful", _CLASS),
    "torque": ("torque-unit-doubtful", _CLASS),
    "voltage": ("voltage-unit-doubtful", "a supply of 2 to 100 V that gives what the propeller takes, and losses"),
    "current": ("current-unit-doubtful", "a current that gives what the propeller takes, and losses"),
}


def refuse_doubtful_units(evidence: Evidence) -> None:
    """Raise a ReductionError where a load or the supply is off by just what a slip of units makes.

    `thrust-unit-doubtful` and `torque-unit-doubtful` go by the class of the propeller, `voltage-unit-doubtful` and
    `current-unit-doubtful` by the power that the disc or the shaft takes. On steps that never settle every load is that
    of the way there, and no unit is to blame.
    """
    if check_settling(evidence):
        return
    found = coefficients_at_speed(evidence.prepared, evidence.air, evidence.mechanics)
    supplied = supplied_at_speed(evidence)
    if found is not None:
        _refuse_loads(evidence.job, found, supplied)
    if supplied is not None:
        _refuse_supply(evidence, supplied, found)


def _refuse_loads(job: RunJob, found: Coefficients, supplied: Supplied | None) -> None:
    usual = class_figures(job.design.blades, job.design.pitch, found.diameter)
    thrust = None if found.thrust is None else found.thrust / usual.thrust_coefficient
    torque = None if found.power is None else found.power / usual.power_coefficient
    # where both are off together it is speed, density or diameter, and others tell of these
    if thrust is not None and not _fits(thrust):
        slips = _slips_of_load(job, "thrust", thrust)
        if slips and (_fits(torque) if torque is not None else _alone(found, supplied, thrust, slips[0])):
            raise _doubtful(job, "thrust", "the thrust coefficient", thrust, slips)
    if torque is not None and not _fits(torque):
        slips = _slips_of_load(job, "torque", torque)
        if slips and (_fits(thrust) if thrust is not None else _alone(found, None, torque, slips[0])):
            raise _doubtful(job, "torque", "the power coefficient", torque, slips)


def _fits(off: float | None) -> bool:
    return off is not None and off > 0.0 and abs(math.log(off)) < math.log(_OUT)


def _slips_of_load(job: RunJob, channel: str, off: float) -> tuple[Slip, ...]:
    return fitting_slips(off, slips_of(channel, job.rig.channels.get(channel)), within=_NEAR)


def _alone(found: Coefficients, supplied: Supplied | None, off: float, slip: Slip) -> bool:
    """Whether a load is off by itself where the other is not measured: speed and diameter enter a coefficient, too."""
    tips = 0.5 * found.diameter * found.speed
    if not _TIPS[0] < tips < _TIPS[1]:
        return False
    if supplied is not None and supplied.merit is not None and supplied.merit > 0.0:
        # neither speed nor the pitch of the class is in it; it goes with thrust to the power of 1.5
        return not _within(supplied.merit, _MERIT, 1.0) and _within(supplied.merit * slip.factor**1.5, _MERIT, 1.0)
    return abs(math.log(off)) > math.log(_ALONE)


def _refuse_supply(evidence: Evidence, supplied: Supplied, found: Coefficients | None) -> None:
    """Refuse voltage or current where electrical power is off and the loads, so far as they can be judged, are not."""
    if supplied.efficiency is not None:
        ratio, usual = supplied.efficiency, _EFFICIENCY
    elif supplied.merit is not None:
        ratio, usual = supplied.merit, _MERIT
    else:
        return
    job = evidence.job
    if ratio <= 0.0 or _within(ratio, usual, _BEYOND) or not _loads_fit(job, found):
        return
    if ratio > usual[1] and check_factor(evidence):
        return  # marks counted twice make twice the shaft power: the supply is not to blame
    middle = math.sqrt(usual[0] * usual[1])
    channel = "voltage" if not _VOLTS[0] <= supplied.voltage <= _VOLTS[1] else "current"
    # power too large by the same factor as the ratio is too small
    slips = fitting_slips(middle / ratio, slips_of(channel, job.rig.channels.get(channel)), within=3.0)
    slips = tuple(slip for slip in slips if _within(ratio / slip.factor, usual, 1.0))  # else no unit mends it
    if channel == "voltage":
        slips = tuple(slip for slip in slips if _VOLTS[0] <= supplied.voltage * slip.factor <= _VOLTS[1])
    if slips:
        raise _doubtful(job, channel, "electrical power", middle / ratio, slips)


def _loads_fit(job: RunJob, found: Coefficients | None) -> bool:
    """Whether thrust and torque are of their class: else the power that they tell is no witness."""
    if found is None:
        return False
    usual = class_figures(job.design.blades, job.design.pitch, found.diameter)
    thrust = None if found.thrust is None else found.thrust / usual.thrust_coefficient
    torque = None if found.power is None else found.power / usual.power_coefficient
    return (thrust is None or _fits(thrust)) and (torque is None or _fits(torque))


def _within(value: float, limits: tuple[float, float], beyond: float) -> bool:
    return limits[0] / beyond <= value <= limits[1] * beyond


def _doubtful(job: RunJob, channel: str, figure: str, off: float, slips: tuple[Slip, ...]) -> ReductionError:
    words = ", or ".join(slip.words for slip in slips)
    fixes = ", or ".join(dict.fromkeys(slip.fix for slip in slips))
    whose = "what the loads take" if channel in {"voltage", "current"} else "that of its class"
    size = f"{_said(off)} times" if off >= 1.0 else f"1/{_said(1.0 / off)} of"
    factor = slips[0].factor
    way = f"{_said(1.0 / factor)} times too large" if factor < 1.0 else f"{_said(factor)} times too small"
    code, expected = _WORDS[channel]
    return ReductionError(
        f"the {channel} of run {job.run.name} makes {figure} {size} {whose}; {words} would make it {way}",
        code=code,
        where=Where(f"rigs/{job.rig.name}.toml", key=f"channels.{channel}"),
        expected=expected,
        fix=f"write {fixes} under [channels.{channel}] in rigs/{job.rig.name}.toml, whichever the column is in",
    )


def _said(factor: float) -> str:
    return f"{factor:.0f}" if factor >= 100.0 else f"{factor:.3g}"
