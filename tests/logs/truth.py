"""The run that every file of good/ and bad/ holds, and the rigs that read it. The logs are written by make_logs.py.

Everything follows from the row number k: a clock of 100 Hz, a throttle from 1000 us upwards, a speed of 150 rpm a row,
a thrust cell whose sign is turned, two force cells at 21 mm, a supply that sags. All values
are exact in three decimals.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from isothrust.records.rig import ChannelPlan, ColumnPick, FilePlan, Rig

ROWS = 80
GF = 0.00980665  # N, exact (NIST SP 811)
RPM = 2.0 * math.pi / 60.0  # rad/s

HEADS = ("t", "cmd", "rpm", "axial", "left", "right", "volt", "amp")
UNITS = ("ms", "us", "rpm", "gf", "gf", "gf", "V", "A")


def reading(column: str, k: int) -> float:
    """Return what the log holds in a column at row k."""
    return {
        "t": 10.0 * k,
        "cmd": 1000.0 + 10.0 * k,
        "rpm": 150.0 * k,
        "axial": -0.125 * k * k,
        "left": 0.5 * k,
        "right": -0.25 * k,
        "volt": 24.0 - 0.01 * k,
        "amp": 0.125 * k,
    }[column]


def channels(rows: NDArray[np.int64] | None = None) -> dict[str, tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Return time and SI values of every channel, at the given rows."""
    k = np.arange(ROWS) if rows is None else rows
    time = 0.01 * k
    return {
        "throttle": (time, 0.01 * k),
        "speed": (time, RPM * 150.0 * k),
        "thrust": (time, GF * 0.125 * k**2),
        "torque": (time, GF * 0.021 * 0.75 * k),
        "voltage": (time, 24.0 - 0.01 * k),
        "current": (time, 0.125 * k),
    }


def rig(**changed: ChannelPlan | None) -> Rig:
    """Return the rig that picks by head; `changed` replaces plans, or takes a channel out where it is None."""
    plans: dict[str, ChannelPlan | None] = {
        "time": plan("time", "t", "ms", factor=0.001),
        "throttle": plan("throttle", "cmd", "us", throttle_range=(1000.0, 2000.0)),
        "speed": plan("speed", "rpm", "rpm", factor=RPM),
        "thrust": plan("thrust", "axial", "gf", factor=GF, sign=-1.0),
        "torque": cell_pair("left", "right"),
        "voltage": plan("voltage", "volt", "V"),
        "current": plan("current", "amp", "A"),
    }
    plans |= changed
    return Rig("bench", "Test bench", {name: each for name, each in plans.items() if each is not None})


def cell_pair(left: str, right: str) -> ChannelPlan:
    """Return the plan of a torque from two force cells at 21 mm."""
    return ChannelPlan(
        "torque",
        (ColumnPick(head=left, arm=0.021), ColumnPick(head=right, arm=-0.021)),
        unit="gf",
        factor=GF,
    )


def plan(
    quantity: str,
    column: str | int,
    unit: str | None = None,
    *,
    factor: float = 1.0,
    sign: float = 1.0,
    throttle_range: tuple[float, float] | None = None,
) -> ChannelPlan:
    """Return a plan with one column, by head or by position."""
    pick = ColumnPick(head=column) if isinstance(column, str) else ColumnPick(position=column)
    return ChannelPlan(quantity, (pick,), unit=unit, factor=factor, sign=sign, throttle_range=throttle_range)


def rig_by_position() -> Rig:
    """Return the same rig for logs without a head row."""
    return Rig(
        "bench",
        "Test bench",
        {
            "time": plan("time", 1, "ms", factor=0.001),
            "throttle": plan("throttle", 2, "us", throttle_range=(1000.0, 2000.0)),
            "speed": plan("speed", 3, "rpm", factor=RPM),
            "thrust": plan("thrust", 4, "gf", factor=GF, sign=-1.0),
            "torque": ChannelPlan(
                "torque",
                (ColumnPick(position=5, arm=0.021), ColumnPick(position=6, arm=-0.021)),
                unit="gf",
                factor=GF,
            ),
            "voltage": plan("voltage", 7, "V"),
            "current": plan("current", 8, "A"),
        },
    )


def tagged_rig() -> Rig:
    """Return the rig for a log whose rows come from three sources, the tag of each in the first column."""
    plans = {
        "time": plan("time", 2, "ms", factor=0.001),
        "throttle": plan("throttle", 3, "us", throttle_range=(1000.0, 2000.0)),
        "speed": plan("speed", 4, "rpm", factor=RPM),
        "thrust": plan("thrust", 3, "gf", factor=GF, sign=-1.0),
        "torque": rig_by_position().channels["torque"],
        "voltage": plan("voltage", 3, "V"),
        "current": plan("current", 4, "A"),
    }
    plans["torque"] = replace(
        plans["torque"],
        picks=tuple(replace(pick, position=(pick.position or 0) - 1) for pick in plans["torque"].picks),
    )
    tags = {"throttle": "RC", "speed": "RC", "thrust": "LC", "torque": "LC", "voltage": "PM", "current": "PM"}
    return Rig(
        "bench",
        "Test bench",
        {
            name: replace(each, picks=tuple(replace(pick, tag=tags.get(name)) for pick in each.picks))
            for name, each in plans.items()
        },
    )


RIGS = {
    "by head": rig(),
    "by position": rig_by_position(),
    "stamps": rig(time=plan("time", "t")),
    "seconds": rig(time=plan("time", "t", "s")),
    "rate": rig(time=ChannelPlan("time", rate=100.0)),
    "microseconds": rig(time=plan("time", "t", "us", factor=1e-6)),
    "date and time": rig(time=ChannelPlan("time", (ColumnPick(head="day"), ColumnPick(head="t")))),
    "minutes seconds ms": rig(
        time=ChannelPlan(
            "time",
            (ColumnPick(head="min"), ColumnPick(head="s", weight=1 / 60), ColumnPick(head="t", weight=1 / 60_000)),
            unit="count",
            factor=60.0,
        )
    ),
    "time by name": rig(time=plan("time", "time", "ms", factor=0.001)),
    "nested": rig(
        throttle=plan("throttle", "drive.cmd", "us", throttle_range=(1000.0, 2000.0)),
        speed=plan("speed", "drive.rpm", "rpm", factor=RPM),
        thrust=plan("thrust", "cells.axial", "gf", factor=GF, sign=-1.0),
        torque=cell_pair("cells.pair.left", "cells.pair.right"),
        voltage=plan("voltage", "bus.1", "V"),
        current=plan("current", "bus.2", "A"),
    ),
    "in groups": rig(
        thrust=plan("thrust", "cell a force", "gf", factor=GF, sign=-1.0),
        torque=cell_pair("cell b force", "cell c force"),
    ),
    "tagged": tagged_rig(),
    "blocks joined": replace(rig(), files={"log": FilePlan(joined=True)}),
    "lines": rig(time=plan("time", "t", "0.01 s", factor=0.01)),
    "units from heads": rig(time=plan("time", "t"), voltage=plan("voltage", "volt"), speed=plan("speed", "rpm")),
}
