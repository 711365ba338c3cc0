"""Column heads: a name and perhaps a unit, found again though somebody wrote them a little differently."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass

from isothrust.errors import UnitError
from isothrust.quantities import parse_unit, split_head
from isothrust.tables.cells import is_number

__all__ = ["Head", "find_head", "is_unit", "nearest", "same_name"]

_LOOSE = re.compile(r"[\s_\-.]+")
_ROUND_UNIT = re.compile(r"(.*\S)\s*\(([^()]*)\)")


@dataclass(frozen=True, slots=True)
class Head:
    """One column head."""

    text: str
    """As it stands in the file, without blanks around it."""
    name: str
    """Without its unit."""
    unit: str | None = None
    """Text of the unit, from square brackets, a row of units below or a line above; None where none is given."""
    own: str | None = None
    """The name alone, where `text` and `name` begin with the group that the head stands in."""

    @classmethod
    def of(cls, text: str) -> Head:
        """Return the head that a cell's text means; only square brackets hold a unit."""
        name, unit = split_head(text)
        return cls(text.strip(), name, unit)

    @classmethod
    def of_log(cls, text: str) -> Head:
        """Return the head that a log's cell means: a unit may also stand in round brackets, if it is a known one."""
        head = cls.of(text)
        match = _ROUND_UNIT.fullmatch(head.text) if head.unit is None else None
        if match is None or not is_unit(match[2]):
            return head
        return cls(head.text, match[1], match[2].strip())

    def in_group(self, group: str) -> Head:
        """Return the head with the name of the group above it in front."""
        if not group or same_name(group, self.name):
            return self
        return Head(f"{group} {self.text}", f"{group} {self.name}", self.unit, self.name)


def is_unit(text: str) -> bool:
    """Say whether a text is a unit of the table, and no bare number."""
    try:
        parse_unit(text)
    except UnitError:
        return False
    return not is_number(text)


def same_name(first: str, second: str) -> bool:
    """Say whether two names differ in case, blanks, underscores, hyphens and points only."""
    return _loose(first) == _loose(second)


def find_head(wanted: str, heads: Sequence[Head]) -> list[int]:
    """Return the indices of the heads that `wanted` may mean: exact ones, else those alike but for case, blanks, unit.

    A unit in brackets (square or round) counts only where both sides give one. A head in a group is found by its own
    name as well.

    Examples
    --------
    >>> find_head("Thrust", [Head.of("time"), Head.of("thrust [gf]")])
    [1]
    """
    exact = [index for index, head in enumerate(heads) if head.text == wanted.strip()]
    if exact:
        return exact
    name, unit = _parts(wanted)
    alike = []
    for index, head in enumerate(heads):
        other, other_unit = _parts(head.text)
        if _loose(name) and _loose(name) == _loose(other) and (unit is None or other_unit in {None, unit}):
            alike.append(index)
    if alike:
        return alike
    return [index for index, head in enumerate(heads) if head.own is not None and _loose(head.own) == _loose(name)]


def nearest(wanted: str, names: Sequence[str], *, count: int = 8) -> list[str]:
    """Return up to `count` of the names, those most like `wanted` first."""
    name = _loose(_parts(wanted)[0])

    def likeness(other: str) -> float:
        loose = _loose(_parts(other)[0])
        inside = bool(name and loose) and (name in loose or loose in name)
        return difflib.SequenceMatcher(None, name, loose).ratio() + (0.5 if inside else 0.0)

    return sorted((other for other in names if other), key=likeness, reverse=True)[:count]


def _parts(text: str) -> tuple[str, str | None]:
    name, unit = split_head(text)
    if unit is None:
        match = _ROUND_UNIT.fullmatch(text.strip())
        if match is not None:
            return match[1], match[2].strip()
    return name, unit


def _loose(name: str) -> str:
    return _LOOSE.sub("", name).casefold()
