"""Dialects: how a logger writes a run down. Heads are invented."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["COMMA", "COUNTER", "DIALECTS", "MICRO", "MIDNIGHT", "SEMICOLON", "TAB", "Clock", "Column", "Dialect"]

Clock = Literal["number", "iso", "time-of-day", "none"]

_GF, _OZF = 9.80665e-3, 0.27801385095378125
_RPM, _REV = 0.10471975511965977, 6.283185307179586


@dataclass(frozen=True, slots=True)
class Column:
    """How one channel stands in a log: cell = sign x (SI value) / size + bias."""

    channel: str
    head: str
    unit: str
    """As the rig file writes it."""
    size: float
    """SI value of one of the unit."""
    digits: int
    sign: float = 1.0
    bias: float = 0.0
    """Cell for SI 0 (a throttle of 1000 us)."""
    pole_pairs: int | None = None
    """Set where the column is electrical speed; `size` is then of the unit itself."""
    arm: float | None = None
    """Set where the column is one of two forces that make the torque: signed lever arm [m]; `size` is the force's."""


@dataclass(frozen=True, slots=True)
class Dialect:
    """One logger's habits."""

    name: str
    columns: tuple[Column, ...]
    """In the order of the log, time first where it has one."""
    delimiter: str = ","
    decimal: str = "."
    preamble: tuple[str, ...] = ()
    heads: bool = True
    clock: Clock = "number"
    start: float = 0.0
    """What the clock shows at the first row [s]; a time of day counts from midnight."""
    newline: str = "\n"
    mark: bool = False
    """Byte-order mark ahead of the text."""
    compress: bool = False

    @property
    def suffix(self) -> str:
        """File name ending."""
        return (".tsv" if self.delimiter == "\t" else ".csv") + (".gz" if self.compress else "")


COMMA = Dialect(
    "comma",
    (
        Column("time", "t_ms", "ms", 1e-3, 1),
        Column("throttle", "cmd_us", "us", 1e-3, 1, bias=1000.0),
        Column("speed", "rpm", "rpm", _RPM, 1),
        Column("thrust", "axial_gf", "gf", _GF, 2, sign=-1.0),
        Column("torque", "left_gf", "gf", _GF, 3, arm=0.021),
        Column("torque", "right_gf", "gf", _GF, 3, arm=-0.021),
        Column("voltage", "volt", "V", 1.0, 3),
        Column("current", "amp", "A", 1.0, 3),
    ),
)
"""Commas and points; torque as a pair of forces; thrust upside down; throttle in microseconds."""

SEMICOLON = Dialect(
    "semicolon",
    (
        Column("time", "Uhr s", "s", 1.0, 4),
        Column("throttle", "Gas %", "%", 0.01, 2),
        Column("speed", "Drehzahl U/s", "rev/s", _REV, 4),
        Column("thrust", "Schub N", "N", 1.0, 5),
        Column("torque", "Moment Nmm", "N mm", 1e-3, 3),
        Column("voltage", "Spannung V", "V", 1.0, 3),
        Column("current", "Strom A", "A", 1.0, 3),
    ),
    delimiter=";",
    decimal=",",
    newline="\r\n",
    mark=True,
)
"""Semicolons, decimal commas, a byte-order mark, carriage returns; everything in newtons."""

TAB = Dialect(
    "tab",
    (
        Column("time", "stamp", "", 1.0, 3),
        Column("voltage", "bus", "mV", 1e-3, 0),
        Column("current", "bus draw", "mA", 1e-3, 0),
        Column("throttle", "demand", "1", 1.0, 5),
        Column("speed", "field turns", "rpm", _RPM, 0, pole_pairs=7),
        Column("thrust", "pull", "ozf", _OZF, 5),
        Column("torque", "twist", "N mm", 1e-3, 3, sign=-1.0),
    ),
    delimiter="\t",
    preamble=("# shed bench", "# cells warmed up 20 min; kettle off", ""),
    clock="iso",
    compress=True,
)
"""Tabs, three lines ahead of the heads, ISO 8601 stamps, electrical speed, ounces-force; compressed."""

COUNTER = Dialect(
    "counter",
    (
        Column("throttle", "", "us", 1e-3, 1, bias=1000.0),
        Column("thrust", "", "gf", _GF, 2),
        Column("torque", "", "N m", 1.0, 6),
        Column("speed", "", "rpm", _RPM, 1),
        Column("voltage", "", "V", 1.0, 3),
        Column("current", "", "A", 1.0, 3),
    ),
    delimiter=" ",
    heads=False,
    clock="none",
)
"""Blanks between, no heads, no clock: the rig knows the rate."""

MIDNIGHT = Dialect(
    "midnight",
    (
        Column("time", "time of day", "", 1.0, 3),
        Column("speed", "turns", "rev/s", _REV, 4),
        Column("thrust", "force", "N", 1.0, 5),
        Column("torque", "couple", "N m", 1.0, 6),
        Column("throttle", "stick", "%", 0.01, 2),
        Column("voltage", "supply", "V", 1.0, 3),
        Column("current", "draw", "A", 1.0, 3),
    ),
    clock="time-of-day",
    start=86_390.0,
)
"""A time of day that passes midnight."""

MICRO = Dialect(
    "micro",
    (
        Column("time", "", "us", 1e-6, 0),
        Column("speed", "", "rev/s", _REV, 3, pole_pairs=7),
        Column("torque", "", "N", 1.0, 5, arm=0.032),
        Column("torque", "", "N", 1.0, 5, arm=-0.032),
        Column("thrust", "", "N", 1.0, 5, sign=-1.0),
        Column("throttle", "", "1", 1.0, 5),
        Column("voltage", "", "mV", 1e-3, 0),
        Column("current", "", "mA", 1e-3, 0),
    ),
    heads=False,
    start=4294.0,
    newline="\r\n",
)
"""No heads; microseconds since the logger was switched on; electrical speed; torque as two forces found by position."""

DIALECTS = (COMMA, SEMICOLON, TAB, COUNTER, MIDNIGHT, MICRO)
