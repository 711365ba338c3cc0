"""A motor's constants as they are shown: names, units, values with half-widths."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from isothrust.records.motor import CONSTANTS, MotorModel
from isothrust.science.uncertainty import coverage_factor

__all__ = ["CONSTANT_WORDS", "ERROR_WORDS", "ShownConstant", "correlations", "friction_torque", "shown_constants"]

_RPM: Final = 2.0 * math.pi / 60.0


@dataclass(frozen=True, slots=True)
class ShownConstant:
    """One line: a constant in the unit shown."""

    name: str
    words: str
    unit: str
    value: float | None
    uncertainty: float | None
    """Standard uncertainty in the unit shown."""
    half_width: float | None
    """Of the 95 % interval."""
    absent: str | None


CONSTANT_WORDS: Final[Mapping[str, tuple[str, str, float]]] = MappingProxyType(
    {
        "kv": ("KV", "rpm/V", _RPM),
        "resistance": ("resistance of the winding at 20 degC", "mohm", 1e-3),
        "loss_resistance": ("resistance of the controller", "mohm", 1e-3),
        "friction": ("friction torque, constant part", "mN m", 1e-3),
        "viscous": ("friction torque, growing with speed", "mN m per 10000 rpm", 1e-3 / (1e4 * _RPM)),
        "idle_power": ("idle power of the controller", "W", 1.0),
    }
)
"""Constant -> words, unit shown, SI per unit."""
ERROR_WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "speed": "speed",
        "thrust": "thrust",
        "current": "current",
        "speed-mid": "speed, mid throttle",
        "thrust-mid": "thrust, mid throttle",
        "current-mid": "current, mid throttle",
    }
)
"""What was foretold -> words."""


def shown_constants(model: MotorModel) -> tuple[ShownConstant, ...]:
    """Return the six constants in the units shown, absent ones with their reason."""
    reach = float(coverage_factor(model.degrees_of_freedom))
    out: list[ShownConstant] = []
    for place, name in enumerate(CONSTANTS):
        words, unit, factor = CONSTANT_WORDS[name]
        value: float | None = getattr(model, name)
        u = float(np.sqrt(model.covariance[place, place])) / factor if value is not None else None
        out.append(
            ShownConstant(
                name,
                words,
                unit,
                None if value is None else value / factor,
                u,
                None if u is None else reach * u,
                None if value is not None else model.unidentified.get(name, "no reason was given"),
            )
        )
    return tuple(out)


def friction_torque(model: MotorModel, speed: float) -> tuple[float, float] | None:
    """Return Kt i0 at a speed [rad/s] with its standard uncertainty [N m]; None where friction is not known.

    The two parts of friction are told together far better than each by itself.
    """
    if model.friction is None:
        return None
    turn = np.zeros(len(CONSTANTS))
    turn[CONSTANTS.index("friction")] = 1.0
    value = model.friction
    if model.viscous is not None:
        turn[CONSTANTS.index("viscous")] = speed
        value += model.viscous * speed
    known = np.isfinite(np.diag(model.covariance))
    variance = float(turn[known] @ model.covariance[np.ix_(known, known)] @ turn[known])
    return value, math.sqrt(max(variance, 0.0))


def correlations(model: MotorModel) -> dict[tuple[str, str], float]:
    """Return the correlation of every two constants that are known and uncertain."""
    size = np.sqrt(np.diag(model.covariance))
    known = [place for place, u in enumerate(size) if np.isfinite(u) and u > 0.0]
    return {
        (CONSTANTS[a], CONSTANTS[b]): float(np.clip(model.covariance[a, b] / (size[a] * size[b]), -1.0, 1.0))
        for number, a in enumerate(known)
        for b in known[number + 1 :]
    }
