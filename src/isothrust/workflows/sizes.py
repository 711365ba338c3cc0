"""Diameter, pitch and blades where the name of a design tells them beyond doubt: 7x4x3, 51433, 5143."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import product
from typing import Final

__all__ = ["NamedSize", "size_in"]

_BY_X: Final = re.compile(
    r"(?<![\d.])(\d{1,2}(?:[.,]\d+)?)\s*[xX×]\s*(\d{1,2}(?:[.,]\d+)?)(?:\s*[xX×]\s*([2-9]))?(?![\d.]|\s*mm)"
)
_DIGITS: Final = re.compile(r"(?<![\d.])(\d{4,5})(?![\d.]|\s*(?:kv|mah|rpm|mm|k))", re.IGNORECASE)
_DIAMETERS: Final = (1.5, 40.0)
"""Diameters in inches that propellers of a bench have."""
_PITCHES: Final = (0.3, 1.1)
"""Pitch over diameter; common practice, from memory."""


@dataclass(frozen=True, slots=True)
class NamedSize:
    """A size as cells of propellers.csv, in inches; blades empty where the name does not tell them."""

    diameter: str
    pitch: str
    blades: str
    written: str
    """The part of the name that tells it."""


def size_in(design: str) -> NamedSize | None:
    """Return the size that a design's name tells; None where it tells none, or more than one.

    Sizes in names are inches: diameter x pitch, and perhaps the count of blades. Four digits are read so where only one
    way of putting the points gives a propeller: 5143 is 5.1 x 4.3, 1045 is 10 x 4.5. What could be a year is left
    alone.

    Examples
    --------
    >>> size_in("auk 7x4x3")
    NamedSize(diameter='7', pitch='4', blades='3', written='7x4x3')
    >>> size_in("tern 51433").blades, size_in("gull 1045").diameter, size_in("made in 2024")
    ('3', '10', None)
    """
    found = [size for match in _BY_X.finditer(design) if (size := _by_x(match)) is not None]
    if not found:
        found = [size for match in _DIGITS.finditer(design) for size in _by_digits(match[1])]
    return found[0] if len(found) == 1 else None


def _by_x(match: re.Match[str]) -> NamedSize | None:
    diameter, pitch = (text.replace(",", ".") for text in match.groups()[:2])
    return NamedSize(diameter, pitch, match[3] or "", match[0]) if _makes_sense(diameter, pitch) else None


def _by_digits(digits: str) -> list[NamedSize]:
    blades = digits[4:]
    if blades and not "2" <= blades <= "8":
        return []
    if not blades and digits[:2] in {"19", "20"}:
        return []
    first, second = digits[:2], digits[2:4]
    sizes = product((f"{first[0]}.{first[1]}", first), (f"{second[0]}.{second[1]}", second))
    return [
        NamedSize(_short(diameter), _short(pitch), blades, digits)
        for diameter, pitch in sizes
        if not diameter.startswith("0") and not pitch.startswith("0") and _makes_sense(diameter, pitch)
    ]


def _short(number: str) -> str:
    return number.removesuffix(".0")


def _makes_sense(diameter: str, pitch: str) -> bool:
    inches = float(diameter)
    return _DIAMETERS[0] <= inches <= _DIAMETERS[1] and _PITCHES[0] <= float(pitch) / inches <= _PITCHES[1]
