"""The forms of an expectation: a run that reads, a table that a file holds, parts of a file, a refusal."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

__all__ = ["Expected", "Parts", "Reads", "Refused", "Series", "Table", "series_of"]

GF: Final = 0.00980665
TURN: Final = 2.0 * math.pi
SI: Final[Mapping[str, float]] = MappingProxyType(
    {
        "-": 1.0,
        "gf": GF,
        "kgf": 1000.0 * GF,
        "N": 1.0,
        "Nm": 1.0,
        "Nmm": 1e-3,
        "Ncm": 1e-2,
        "rpm": TURN / 60.0,
        "rev/s": TURN,
        "rad/s": 1.0,
        "V": 1.0,
        "mV": 1e-3,
        "A": 1.0,
        "mA": 1e-3,
        "W": 1.0,
        "%": 1e-2,
        "Pa": 1.0,
        "m/s": 1.0,
        "m/s2": 1.0,
        "g": 9.80665,
        "hPa": 100.0,
    }
)
"""SI of one of each unit; written down here, and not asked of the program that is tested."""


@dataclass(frozen=True, slots=True)
class Series:
    """One column of readings, as the file holds it."""

    name: str
    """Quantity of a channel (`acceleration.2`: its second axis), or number of a table's column from 1."""
    unit: str
    """Of the log: a name in SI, with factors before it (`780/14*rpm`), or the two readings that are 0 and 100 %."""
    count: int
    first: float
    last: float
    least: float
    greatest: float
    mean: float

    def in_si(self, reading: float) -> float:
        """Return what a reading of the file is in SI."""
        if ".." in self.unit:
            low, high = map(float, self.unit.split(".."))
            return (reading - low) / (high - low)
        factor = 1.0
        for step in self.unit.split("*"):
            above, _, below = step.partition("/") if step not in SI else (step, "", "")
            factor *= SI.get(above) or float(above)
            factor /= float(below or 1.0)
        return reading * factor


def series_of(text: str) -> tuple[Series, ...]:
    """Return the columns that lines tell: `name unit count first last least greatest mean`."""
    found = []
    for line in text.strip().splitlines():
        name, unit, count, *numbers = line.split()
        first, last, least, greatest, mean = map(float, numbers)
        found.append(Series(name, unit, int(count), first, last, least, greatest, mean))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Reads:
    """The file, read as a run's log, vibration or sound with a rig, gives these channels and no others."""

    rig: str
    """Name of a rig file in tests/benches/rigs, or a rig file's text."""
    rows: int
    seconds: float
    """Time of the last reading from the first [s]."""
    channels: str
    """Lines as `series_of` takes them, of every channel that comes from this file."""
    codes: tuple[str, ...] = ()
    """Of everything that reading it finds."""
    says: tuple[str, ...] = ()
    """Words that the findings hold."""
    file: str = "log"
    """Which of a run's files it is; beside a vibration or sound file stands a log made for the occasion."""
    inside: str = ""
    """What is meant in the file."""
    step: float | None = None
    """Time between all neighbouring samples, where it is one [s]."""


@dataclass(frozen=True, slots=True)
class Table:
    """The file holds this table; whether it makes a run is another question."""

    columns: str
    """Lines as `series_of` takes them, units `-`: the numbers as they stand in the file."""
    width: int
    heads: tuple[str, ...] = ()
    """The first heads, or all."""
    name: str = ""
    """Of the table in the file, where it holds several."""
    block: int | None = None
    """Which of the blocks side by side, from 1."""


@dataclass(frozen=True, slots=True)
class Parts:
    """The file holds so many tables, with so many blocks side by side in each."""

    tables: int
    blocks: tuple[int, ...] = (0,)
    """Side by side in the tables, every number that comes."""
    names: tuple[str, ...] = ()
    """Some of them."""
    skipped: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    """What is in the file and is no table -> words of the reason."""
    totals: tuple[int, float] | None = None
    """Numbers under one head in all blocks of all tables, and their sum."""
    head: str = ""
    """That head."""


@dataclass(frozen=True, slots=True)
class Refused:
    """The file is refused, with this code and these words."""

    code: str
    says: tuple[str, ...]
    rig: str = ""
    """Name or text of the rig with which a run of it is read; without one the file itself is no recording."""
    file: str = "log"


Expected = Reads | Table | Parts | Refused
