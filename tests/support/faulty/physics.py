"""Readings that physics forbids: units, signs and columns taken for others."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from isothrust.virtual import RunPlan, VirtualRun, Zero
from support.faulty.case import FaultCase

__all__ = ["CASES"]

Random = np.random.Generator


def _scaled(channel: str, factor: float) -> Callable[[VirtualRun, Random], VirtualRun]:
    def spoil(run: VirtualRun, _random: Random) -> VirtualRun:
        columns = dict(run.columns)
        columns[channel] = columns[channel] * factor
        return replace(run, columns=columns)

    return spoil


def _falling(run: VirtualRun, _random: Random) -> VirtualRun:
    """The current sensor is in the wrong way round, and its zero lies in the middle of its range."""
    columns = dict(run.columns)
    columns["current"] = 80.0 - columns["current"]
    return replace(run, columns=columns)


def _sagging(run: VirtualRun, _random: Random) -> VirtualRun:
    """The rig file takes the column of the voltage for both."""
    columns = dict(run.columns)
    columns["current"] = columns["voltage"].copy()
    return replace(run, columns=columns)


def _offset(current: float) -> Callable[[RunPlan, Random], RunPlan]:
    return lambda run, _random: replace(run, current_zero=Zero(running=current))


def _friction(share: float) -> Callable[[VirtualRun, Random], VirtualRun]:
    """The stand sticks on the way down: thrust reads a share of its greatest too high there, and none at rest."""

    def spoil(run: VirtualRun, _random: Random) -> VirtualRun:
        columns = dict(run.columns)
        top = int(np.argmax(columns["throttle"]))
        turning = np.clip(columns["speed"] / 200.0, 0.0, 1.0)
        turning[:top] = 0.0
        columns["thrust"] = columns["thrust"] + share * float(np.max(columns["thrust"])) * turning
        return replace(run, columns=columns)

    return spoil


CASES = (
    FaultCase("thrust-unit-doubtful", "gf read as N", "thrust by a factor of 102", spoil=_scaled("thrust", 101.97)),
    FaultCase("thrust-unit-doubtful", "N read as gf", "thrust by a factor of 102", spoil=_scaled("thrust", 1 / 101.97)),
    FaultCase(
        "thrust-unit-doubtful", "kgf read as N", "thrust by a factor of 9.8", spoil=_scaled("thrust", 1 / 9.80665)
    ),
    FaultCase(
        "torque-unit-doubtful", "arm in mm read as m", "torque by a factor of 1 000", spoil=_scaled("torque", 1e3)
    ),
    FaultCase("torque-unit-doubtful", "N cm read as N m", "torque by a factor of 100", spoil=_scaled("torque", 100.0)),
    FaultCase("current-unit-doubtful", "mA read as A", "current by a factor of 1 000", spoil=_scaled("current", 1e3)),
    FaultCase("current-unit-doubtful", "0.1 A read as A", "current by a factor of 10", spoil=_scaled("current", 10.0)),
    FaultCase("voltage-unit-doubtful", "mV read as V", "voltage by a factor of 1 000", spoil=_scaled("voltage", 1e3)),
    FaultCase("current-falls", "current turned round about 40 A", "every electrical figure", spoil=_falling),
    FaultCase("current-falls", "the voltage's column read as current", "every electrical figure", spoil=_sagging),
    FaultCase("merit-high", "thrust reads 30 % too high", "shaft efficiency by 48 %", spoil=_scaled("thrust", 1.3)),
    FaultCase("merit-above-one", "torque reads half", "shaft efficiency by 100 %", spoil=_scaled("torque", 0.5)),
    FaultCase(
        "coefficient-out-of-class", "thrust reads 2.6 times too high", "thrust by 160 %", spoil=_scaled("thrust", 2.6)
    ),
    FaultCase(
        "power-negative", "current reads 1.2 A too low under power", "electrical power below 1.2 A", plan=_offset(-1.2)
    ),
    FaultCase(
        "legs-disagree",
        "stand sticks on the way down by 4 % of the greatest thrust",
        "thrust at a speed by 2 % at the top, more below",
        kind="up-down",
        spoil=_friction(0.04),
    ),
)
