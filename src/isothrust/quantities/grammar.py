"""From a unit's text to its factor and dimension.

The grammar: an optional number, then symbols multiplied by a space, `.`, `*` or `·`, with at most one `/`, below which
everything after it stands; an exponent is a trailing digit or follows `^`: `2.1 ozf.in`, `kg m2`, `m/s^2`, `gf/count`.
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import Final

from isothrust.quantities.dimension import DIMENSIONLESS
from isothrust.quantities.table import ALIASES, OFFSETS, UNITS
from isothrust.quantities.unit import Unit

__all__ = ["NUMBER", "Unreadable", "known_symbol", "normalised", "read_unit"]

NUMBER: Final = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"

_NUMBER_FIRST: Final = re.compile(rf"({NUMBER})\s*[*·]?\s*(.*)", re.DOTALL)
_PRODUCT: Final = re.compile(r"[ .*·]+")
_FACTOR: Final = re.compile(r"([A-Za-z%\"]+|1)(?:\^?([+-]?[1-9]))?")
_DEGREES: Final = re.compile(r"(?:°|\bdeg(?:rees?)?[ .]?|\bDeg[ .]?)\s*([CF])\b")
_SAME_SIGN: Final = str.maketrans(
    {
        "\N{MICRO SIGN}": "u",
        "\N{GREEK SMALL LETTER MU}": "u",
        "\N{GREEK CAPITAL LETTER OMEGA}": "ohm",
        "\N{OHM SIGN}": "ohm",
        "\N{SUPERSCRIPT ONE}": "1",
        "\N{SUPERSCRIPT TWO}": "2",
        "\N{SUPERSCRIPT THREE}": "3",
        "\N{SUPERSCRIPT MINUS}": "-",
        "\N{MINUS SIGN}": "-",
        "\N{MULTIPLICATION SIGN}": "*",
        "\N{DOT OPERATOR}": "*",
        "\N{DIVISION SLASH}": "/",
        "\N{MASCULINE ORDINAL INDICATOR}": "°",
        "\N{NO-BREAK SPACE}": " ",
        "\N{THIN SPACE}": " ",
        "\N{NARROW NO-BREAK SPACE}": " ",
    }
)


class Unreadable(Exception):  # noqa: N818  it never leaves this package: `values` turns it into a UnitError
    """Why a text is no unit; `symbol` is the part that is not known."""

    def __init__(self, reason: str, symbol: str | None = None) -> None:
        super().__init__(reason)
        self.reason = reason
        self.symbol = symbol


def normalised(text: str) -> str:
    """Return `text` with its signs (µ, Ω, ², °C, typographic blanks) in the plain form that the table uses."""
    plain = _DEGREES.sub(r"deg\1", text.strip().translate(_SAME_SIGN))
    return plain.replace("**", "^").replace("°", "deg")


def known_symbol(symbol: str) -> str | None:
    """Return the table's own spelling of a symbol, or None where it is not known."""
    name = ALIASES.get(symbol, symbol)
    return name if name in UNITS else None


@cache
def read_unit(text: str) -> Unit:
    """Return the unit that `text` means; raises `Unreadable` with the reason where it means none."""
    body = normalised(text)
    if not body:
        raise Unreadable("no unit is given")
    number = 1.0
    led = _NUMBER_FIRST.fullmatch(body)
    if led is not None:
        number, body = float(led[1]), led[2] or "1"
        body = f"1{body}" if body.startswith("/") else body
    if not 0.0 < number < math.inf:
        raise Unreadable(f"a unit cannot be {number:g} times something; a sign belongs in the key `sign`")
    above, slash, below = body.partition("/")
    if "/" in below:
        raise Unreadable("only one / may stand in a unit; what follows it is all below the line, as in m/s2")
    if slash and not below.strip():
        raise Unreadable("nothing follows the /")
    alone = _standing_alone(text, body)
    if alone is not None:
        return Unit(text, number * alone.factor, alone.offset, alone.dimension)
    unit = Unit(text, number, 0.0, DIMENSIONLESS)
    for part, side in ((above, 1), (below, -1)):
        for factor in _PRODUCT.split(part.strip(" .*·")):
            unit = _times(unit, factor, side) if factor else unit
    return unit


def _standing_alone(text: str, body: str) -> Unit | None:
    """Return a unit with an offset, which may have neither number nor company."""
    found = [known_symbol(symbol) for symbol in re.findall(r"[A-Za-z]+", body)]
    shifted = [symbol for symbol in found if symbol in OFFSETS]
    if not shifted:
        return None
    if normalised(text) != body or len(found) > 1 or re.search(r"[^A-Za-z]", body):
        raise Unreadable(f"{shifted[0]} may only stand alone; a difference or a product is written in K")
    factor, dimension = UNITS[shifted[0] or ""]
    return Unit(text, factor, OFFSETS[shifted[0] or ""], dimension)


def _times(unit: Unit, text: str, side: int) -> Unit:
    match = _FACTOR.fullmatch(text)
    if match is None:
        raise Unreadable(f'"{text}" is not a unit with an optional exponent', text)
    name = known_symbol(match[1])
    if name is None:
        raise Unreadable(f'"{match[1]}" is not a unit that is known', match[1])
    factor, dimension = UNITS[name]
    exponent = side * int(match[2] or 1)
    return Unit(unit.text, unit.factor * factor**exponent, 0.0, unit.dimension * dimension**exponent)
