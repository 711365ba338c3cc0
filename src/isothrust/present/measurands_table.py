"""Every measurand that can be asked for, as a table."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType
from typing import Final

from isothrust.present.table import Table
from isothrust.quantities import MEASURANDS

__all__ = ["measurands_table"]

AT: Final[Mapping[str | None, str]] = MappingProxyType(
    {"speed": "a speed", "thrust": "a thrust", "both": "either", None: "whole runs"}
)


def measurands_table(computed: Collection[str]) -> Table:
    """Return name, unit, condition and meaning of every measurand that is computed; the others are named below."""
    rows = tuple(
        (one.name, one.label, AT[one.condition], one.description) for one in MEASURANDS.values() if one.name in computed
    )
    later = [name for name in MEASURANDS if name not in computed]
    notes = (f"not computed by this version: {', '.join(later)}",) if later else ()
    return Table("", ("measurand", "unit", "at", "what it is"), rows, frozenset(range(4)), notes, 3)
