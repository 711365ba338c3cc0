"""Every measurand that can be asked for, as a table."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from isothrust.present.table import Table
from isothrust.quantities import MEASURANDS

__all__ = ["measurands_table"]

AT: Final[Mapping[str | None, str]] = MappingProxyType(
    {"speed": "a speed", "thrust": "a thrust", "both": "either", None: "whole runs"}
)


def measurands_table() -> Table:
    """Return name, unit, condition and meaning of every measurand."""
    rows = tuple(
        (one.name, "" if one.label == "1" else one.label, AT[one.condition], one.description)
        for one in MEASURANDS.values()
    )
    return Table("", ("measurand", "unit", "at", "what it is"), rows, frozenset(range(4)), (), 3)
