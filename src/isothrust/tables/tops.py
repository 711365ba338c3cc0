"""What the lines above a log's heads say of its columns: groups that the heads stand in, and units."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Final

from isothrust.tables.cells import is_blank, is_number, is_stamp
from isothrust.tables.heads import Head, is_unit, same_name

__all__ = ["groups_over", "units_above"]

_UNITS: Final = re.compile(r"^[\s\"#%/]*(?:units?|einheiten|einheit|unites?|unit[aà])\s*[:=;,\t]\s*", re.IGNORECASE)
_PARTED: Final = re.compile(r"[,;|\t]")
_NAMED: Final = re.compile(r"^[\s\"#%/]*([^:=,;|\t]+?)\s*[:=]\s*[\[(]?([^:=,;|\t\[\]()]+?)[\])]?[\s\",;]*$")


def groups_over(names: Sequence[str], above: Sequence[str]) -> tuple[str, ...]:
    """Return the group that each head stands in, where the line above the heads names groups; else nothing.

    A group goes on over the blank cells to its right. A line with a single word, or with a word over each of the first
    two columns only (`operator,Anna`), is a remark, unless the heads repeat and need it.

    Examples
    --------
    >>> groups_over(["t", "x", "y", "x", "y"], ["", "left", "", "right", ""])
    ('', 'left', 'left', 'right', 'right')
    >>> groups_over(["t", "cmd", "rpm"], ["operator", "Anna"])
    ()
    """
    cells = [*above, *[""] * (len(names) - len(above))][: len(names)]
    filled = [place for place, cell in enumerate(cells) if not is_blank(cell)]
    words = not any(is_number(cells[place]) or is_stamp(cells[place]) for place in filled)
    repeated = len({name.casefold() for name in names}) < len(names)
    if not words or len(above) > len(names) or not (repeated or (len(filled) >= 2 and filled[-1] >= 2)):
        return ()
    groups, current = [], ""
    for cell in cells:
        current = current if is_blank(cell) else cell.strip()
        groups.append(current)
    return tuple(groups) if any(groups) else ()


def units_above(heads: Sequence[Head], lines: Iterable[str]) -> dict[int, str]:
    """Return the units that lines above the heads tell, by the place of their column.

    `units: s, us, rpm` has one for each column in their order; `axial: gf` names its column.

    Examples
    --------
    >>> heads = [Head.of_log("t"), Head.of_log("axial")]
    >>> units_above(heads, ["# units: ms, gf"]), units_above(heads, ["axial = N", "supply: 24 V"])
    ({0: 'ms', 1: 'gf'}, {1: 'N'})
    """
    found: dict[int, set[str]] = {}
    for line in lines:
        listed = _UNITS.match(line)
        if listed is not None:
            units = [unit.strip(" \t\"'[]()") for unit in _PARTED.split(line[listed.end() :].strip())]
            if len(units) == len(heads) and 2 * sum(map(is_unit, units)) > len(units):
                for place, unit in enumerate(units):
                    found.setdefault(place, set()).update({unit} if is_unit(unit) else ())
            continue
        named = _NAMED.match(line)
        if named is not None and is_unit(named[2]) and not named[2][0].isdigit():  # 24 V is a setting
            places = [place for place, head in enumerate(heads) if same_name(head.name, named[1])]
            if len(places) == 1:
                found.setdefault(places[0], set()).add(named[2])
    return {place: units.pop() for place, units in found.items() if len(units) == 1}
