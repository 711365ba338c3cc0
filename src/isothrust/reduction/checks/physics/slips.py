"""Slips of units that a rig file may hold: what a reading would have to be multiplied by, and what to write."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from isothrust.errors import UnitError
from isothrust.quantities import parse_unit
from isothrust.records.rig import ChannelPlan

__all__ = ["Slip", "fitting_slips", "slips_of"]

_UNITS: Final[Mapping[str, tuple[str, ...]]] = {
    "thrust": ("gf", "kgf", "N", "mN", "ozf", "lbf"),
    "torque": ("N m", "N cm", "N mm", "gf cm", "kgf cm", "ozf in", "lbf in"),
    "voltage": ("V", "mV", "0.1 V", "0.01 V"),
    "current": ("A", "mA", "0.1 A", "0.01 A"),
}
_USUAL: Final[Mapping[str, tuple[str, ...]]] = {
    "thrust": ("N", "gf"),
    "torque": ("N m", "N mm"),
    "voltage": ("V", "mV"),
    "current": ("A", "mA"),
}
"""What may have been stated where the rig's own unit is not known."""
_ARMS: Final = ("m", "cm", "mm", "in")
_BESIDE: Final = 0.5
"""Slips whose sizes lie this near [ln] cannot be told from one another."""


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip."""

    factor: float
    """What the reading has to be multiplied by [1]."""
    words: str
    """'gf read as N'."""
    fix: str
    """What to write."""


def slips_of(channel: str, plan: ChannelPlan | None) -> tuple[Slip, ...]:
    """Return what a channel of this rig may have been taken for, by the unit that its plan states."""
    if channel == "torque" and plan is not None and any(pick.arm is not None for pick in plan.picks):
        return (*_of_arms(), *_of_units("thrust", plan))  # an arm is mistaken more often than a cell
    return _of_units(channel, plan)


def fitting_slips(off: float, slips: Sequence[Slip], *, within: float) -> tuple[Slip, ...]:
    """Return the slips that bring a reading `off` times too large back to within a factor, the nearest first.

    Only those that the nearest cannot be told from stay beside it.
    """
    if off <= 0.0:
        return ()
    ranked = sorted(slips, key=lambda slip: abs(math.log(off * slip.factor)))
    if not ranked or abs(math.log(off * ranked[0].factor)) > math.log(within):
        return ()
    beside = [slip for slip in ranked if abs(math.log(slip.factor / ranked[0].factor)) < _BESIDE]
    return tuple({slip.words: slip for slip in beside}.values())


def _of_units(channel: str, plan: ChannelPlan | None) -> tuple[Slip, ...]:
    found = []
    for stated in _stated(channel, plan):
        size = parse_unit(stated).factor
        for meant in _UNITS[channel]:
            factor = parse_unit(meant).factor / size
            if not math.isclose(factor, 1.0, rel_tol=1e-6):
                found.append(Slip(factor, f"{meant} read as {stated}", f'unit = "{meant}"'))
    return tuple(found)


def _stated(channel: str, plan: ChannelPlan | None) -> tuple[str, ...]:
    """Return the unit that the plan states, where it is one of the channel's kind."""
    if plan is None or plan.unit is None:
        return _USUAL[channel]
    try:
        stated = parse_unit(plan.unit)
    except UnitError:  # as `count`, whose size is in `scale`
        return _USUAL[channel]
    known = parse_unit(_UNITS[channel][0])
    return (plan.unit,) if stated.dimension == known.dimension else _USUAL[channel]


def _of_arms() -> tuple[Slip, ...]:
    return tuple(
        Slip(
            parse_unit(meant).factor / parse_unit(stated).factor,
            f"an arm in {meant} read as {stated}",
            f'the arms in {meant}, as in "21 {meant}"',
        )
        for stated in ("m", "mm")
        for meant in _ARMS
        if meant != stated
    )
