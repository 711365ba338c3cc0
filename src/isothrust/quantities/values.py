"""Units and values as files and the command line write them, with errors that say what to write instead."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Final

from isothrust.errors import UnitError
from isothrust.quantities.dimension import DIMENSIONLESS
from isothrust.quantities.grammar import NUMBER, Unreadable, read_unit
from isothrust.quantities.hints import EXPLAINED, meant_dimension, meant_symbol
from isothrust.quantities.quantity import QUANTITIES
from isothrust.quantities.unit import Unit

if TYPE_CHECKING:
    from isothrust.errors import Where
    from isothrust.quantities.dimension import Dimension

__all__ = ["check_dimension", "parse_unit", "parse_value", "split_head"]

_VALUE: Final = re.compile(rf"\s*({NUMBER})\s*(.*?)\s*", re.DOTALL)
_HEAD: Final = re.compile(r"\s*(.*?)\s*\[([^\[\]]*)\]\s*", re.DOTALL)


def parse_unit(text: str, *, quantity: str | None = None, where: Where | None = None) -> Unit:
    """Return the unit that `text` means.

    Parameters
    ----------
    text
        `gf`, `kg m2`, `m/s2`, `2.1 ozf.in`, `degC`, `%`, `1`, …
    quantity
        Name from `QUANTITIES` whose dimension the unit must have; None: any.
    where
        Place in a file, told with the error.

    Raises
    ------
    UnitError
        `unknown-unit` with the nearest names; `wrong-dimension` with both dimensions in words; `missing-unit`.

    Examples
    --------
    >>> parse_unit("gf").factor
    0.00980665
    >>> parse_unit("14000rpm", quantity="speed").to_si(1.0)
    1466.0766
    """
    try:
        unit = read_unit(text)
    except Unreadable as unreadable:
        raise _unknown(text, unreadable, quantity, where) from None
    if quantity is not None:
        check_dimension(unit, quantity, where=where)
        if quantity == "temperature-difference":
            return Unit(unit.text, unit.factor, 0.0, unit.dimension)
    return unit


def check_dimension(unit: Unit, quantity: str, *, where: Where | None = None) -> None:
    """Raise the UnitError `wrong-dimension` unless the unit measures the named quantity."""
    wanted = QUANTITIES[quantity]
    if unit.dimension == wanted.dimension:
        return
    meant = meant_dimension(unit.text, wanted.dimension)
    raise UnitError(
        f'{wanted.dimension.words} is needed here, "{unit.text}" is {unit.dimension.words}'
        + (f"; did you mean {meant}?" if meant else ""),
        code="wrong-dimension",
        where=where,
        expected=f"a unit of {quantity}, such as {_examples(quantity)}",
        fix=f"write {meant}" if meant else _other_fix(unit.dimension, quantity),
    )


def parse_value(text: str, *, quantity: str, where: Where | None = None) -> float:
    """Return the SI value of a number with its unit: `0.6 m`, `14000rpm`, `500gf`, `21.5 degC`.

    A dimensionless quantity may stand without a unit. Raises UnitError (`bad-number`, `missing-unit`, `unknown-unit`,
    `wrong-dimension`).

    Examples
    --------
    >>> parse_value("100gf", quantity="thrust")
    0.980665
    >>> parse_value("20 degC", quantity="temperature")
    293.15
    """
    match = _VALUE.fullmatch(text.replace("\N{MINUS SIGN}", "-"))
    if match is None or match[2].startswith(",") or not math.isfinite(float(match[1])):
        raise UnitError(
            f'"{text}" is not a number that can be read',
            code="bad-number",
            where=where,
            expected=f"a number and a unit of {quantity}, such as 1.5 {QUANTITIES[quantity].shown}",
            fix="write digits with a decimal point, no comma and no thousands separator, then the unit",
        )
    if not match[2] and QUANTITIES[quantity].dimension == DIMENSIONLESS:
        return float(match[1])
    return parse_unit(match[2], quantity=quantity, where=where).to_si(float(match[1]))


def split_head(head: str) -> tuple[str, str | None]:
    """Return the name and the unit's text of a column head; None where no unit stands in square brackets.

    Examples
    --------
    >>> split_head("diameter [in]")
    ('diameter', 'in')
    >>> split_head("maker")
    ('maker', None)
    """
    match = _HEAD.fullmatch(head)
    return (head.strip(), None) if match is None else (match[1], match[2].strip())


def _unknown(text: str, unreadable: Unreadable, quantity: str | None, where: Where | None) -> UnitError:
    if not text.strip():
        return UnitError(
            "a unit is needed here and none is given",
            code="missing-unit",
            where=where,
            expected=f"a unit of {quantity}, such as {_examples(quantity)}"
            if quantity
            else "a unit, such as gf or rpm",
            fix=f"add the unit: {_examples(quantity)}" if quantity else "add the unit",
        )
    wanted = QUANTITIES[quantity].dimension if quantity else None
    symbol = unreadable.symbol
    told = EXPLAINED.get((symbol or "").lower())
    near = meant_symbol(text, symbol, wanted) if symbol is not None and told is None else ()
    usual = _examples(quantity) if quantity else "gf, N m, rpm, m/s2"
    whole = symbol is not None and symbol == text.strip()
    return UnitError(
        f'unknown unit "{text}"' + (f": {told or unreadable.reason}" if told or not whole else ""),
        code="unknown-unit",
        where=where,
        expected=f"{', '.join(near)} (the nearest), or such as {usual}" if near else f"a unit such as {usual}",
        fix=f"write {near[0]}, if that is what was meant" if near else f"write the unit as in {usual}",
    )


def _examples(quantity: str) -> str:
    wanted = QUANTITIES[quantity]
    return wanted.shown if wanted.shown == wanted.si else f"{wanted.shown} or {wanted.si}"


def _other_fix(given: Dimension, quantity: str) -> str:
    """Return what to do where no near unit would fit; a force for a torque, the commonest, wants its arm."""
    wanted = QUANTITIES[quantity]
    if (given, wanted.dimension) == (QUANTITIES["force"].dimension, QUANTITIES["torque"].dimension):
        return 'state the arm of each force, columns = { left = "21.0 mm" }, or write a unit of torque: N m'
    return f"check that this is the {quantity}, and write its unit: {_examples(quantity)}"
