"""Faults planted in a finished recording, and where they were put."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from isothrust.virtual.monotone import Floats
from isothrust.virtual.plans import Fault

__all__ = ["Planted", "plant"]

Columns = dict[str, Floats]


@dataclass(frozen=True, slots=True)
class Planted:
    """One fault as it stands in the recording."""

    fault: Fault
    channel: str
    rows: tuple[int, ...]
    """Rows of the log, from 0."""


def plant(columns: Columns, faults: tuple[Fault, ...], random: np.random.Generator) -> tuple[Planted, ...]:
    """Plant the faults in the columns, in place."""
    planted = []
    for fault in faults:
        channel = fault.channel or _CHANNEL[fault.kind]
        rows = _rows(fault, columns["time"].size, random)
        _ACTION[fault.kind](columns, channel, rows, fault)
        planted.append(Planted(fault, channel, tuple(int(row) for row in rows)))
    return tuple(planted)


def _rows(fault: Fault, size: int, random: np.random.Generator) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    """Rows of a fault: one stretch for what lasts, one row where a step begins, else spread over what follows."""
    first = min(int(fault.at * size), size - 2)
    if fault.kind == "truncated-line":
        return np.array([size - 1], dtype=np.intp)
    if fault.kind in ("zero-step", "zero-drift"):
        return np.arange(first, size, dtype=np.intp)
    last = min(first + max(fault.count, 1), size - 1)
    if fault.kind in ("blank", "stuck"):
        return np.arange(first, last, dtype=np.intp)
    # Two repeats side by side would be one: stamps keep their distance.
    apart = 3 if fault.kind == "repeated-stamp" else 1
    room = np.arange(first, min(first + 6 * max(fault.count, 1), size - 1), apart)
    chosen = random.choice(room, size=min(fault.count, room.size), replace=False)
    return np.asarray(np.sort(chosen), dtype=np.intp)


Rows = np.ndarray[tuple[int], np.dtype[np.intp]]


def _scale(factor: float) -> Callable[[Columns, str, Rows, Fault], None]:
    def act(columns: Columns, channel: str, rows: Rows, _fault: Fault) -> None:
        columns[channel][rows] *= factor

    return act


def _spike(columns: Columns, channel: str, rows: Rows, fault: Fault) -> None:
    columns[channel][rows] += fault.size


def _drift(columns: Columns, channel: str, rows: Rows, fault: Fault) -> None:
    columns[channel][rows] += fault.size * np.linspace(0.0, 1.0, rows.size)


def _repeat(columns: Columns, _channel: str, rows: Rows, _fault: Fault) -> None:
    columns["time"][rows + 1] = columns["time"][rows]


def _backward(columns: Columns, _channel: str, rows: Rows, fault: Fault) -> None:
    columns["time"][rows] -= fault.size or 0.05


def _blank(columns: Columns, channel: str, rows: Rows, _fault: Fault) -> None:
    columns[channel][rows] = np.nan


def _stuck(columns: Columns, channel: str, rows: Rows, _fault: Fault) -> None:
    columns[channel][rows] = columns[channel][rows[0]]


def _nothing(_columns: Columns, _channel: str, _rows: Rows, _fault: Fault) -> None:
    """Leave the numbers: it is the text of the log that is cut."""


_ACTION: Final[Mapping[str, Callable[[Columns, str, Rows, Fault], None]]] = {
    "dropout": _scale(0.0),
    "double-count": _scale(2.0),
    "half-count": _scale(0.5),
    "spike": _spike,
    "repeated-stamp": _repeat,
    "backward-stamp": _backward,
    "truncated-line": _nothing,
    "zero-step": _spike,
    "zero-drift": _drift,
    "blank": _blank,
    "stuck": _stuck,
}
_CHANNEL: Final[Mapping[str, str]] = {
    "dropout": "speed",
    "double-count": "speed",
    "half-count": "speed",
    "spike": "thrust",
    "repeated-stamp": "time",
    "backward-stamp": "time",
    "truncated-line": "time",
    "zero-step": "thrust",
    "zero-drift": "thrust",
    "blank": "voltage",
    "stuck": "thrust",
}
