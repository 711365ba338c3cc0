"""The unit that the lines above the heads tell of a column: `# thrust: gf`, `# t in ms, n in rpm`, `# axial [N]`."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from isothrust.ingest.mapping.units import ToldUnit, told_units
from isothrust.tables.heads import Head

__all__ = ["preamble_units"]

_MARKS = re.compile(r'^[\s"#%/]+|["\s]+$')
_PARTS = re.compile(r"[,;|\t]")
_LEAD = re.compile(r"^\s*(?:units?|columns?|channels?|einheiten|unites)\s*[:=]\s*", re.IGNORECASE)
_TOLD = re.compile(r"\s*(.+?)\s*(?:[:=]\s*|\s+in\s+|\s*(?=[\[(]))[\[(]?([^\[\]()]+?)[\])]?\s*")
_BY = "a line above the heads"


def preamble_units(heads: Sequence[Head], lines: Iterable[str]) -> dict[int, list[ToldUnit]]:
    """Return the units that lines above the rows tell, by the place of their column.

    Only a part of a line that is nothing but a head's own name and a unit of the table counts; where two lines tell
    different units of one column, neither does.

    Examples
    --------
    >>> heads = [Head.of_log("t"), Head.of_log("axial")]
    >>> told = preamble_units(heads, ["# recorded in March", "# t in ms, axial: gf", "# current limit = 25 A"])
    >>> {place: [each.unit for each in units] for place, units in told.items()}
    {0: ['ms'], 1: ['gf']}
    """
    found: dict[int, list[list[ToldUnit]]] = {}
    for line in lines:
        for part in _PARTS.split(_LEAD.sub("", _MARKS.sub("", line))):
            match = _TOLD.fullmatch(part)
            places = [] if match is None else [place for place, head in enumerate(heads) if head.text == match[1]]
            units = told_units(Head("", "", match[2]), in_row=False) if match is not None and len(places) == 1 else []
            if units:
                found.setdefault(places[0], []).append([ToldUnit(unit.unit, unit.written, _BY) for unit in units])
    return {place: each[0] for place, each in found.items() if all(units == each[0] for units in each)}
