"""Numbers and small pieces of text of an explanation: enough digits that the arithmetic closes to those shown."""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from isothrust.present.plain import Line, table_lines
from isothrust.present.shown import unit_label
from isothrust.present.table import GAP, Table, column_widths
from isothrust.quantities import CHANNELS, MEASURANDS, Unit, parse_unit
from isothrust.records.reduced import Contribution

__all__ = [
    "GAP_LINE",
    "answer",
    "channel_unit",
    "filled",
    "freedom",
    "indented",
    "listed",
    "listed_freedom",
    "named_source",
    "paragraph",
    "scaled",
    "si_unit",
    "table_at",
    "title",
    "unit_words",
    "working",
]

ANSWER_DIGITS = 6
"""Significant digits of what was worked out: figures, uncertainties, intervals."""
WORKING_DIGITS = 9
"""Significant digits of what it was worked out from, so that the sixth of an answer does not hang on rounding."""
LISTED_DIGITS = 8
"""Significant digits of what is added up in a list."""

_OPERAND = re.compile(r"\{(\w+)\}")


def working(value: float) -> str:
    """Return a number to go on calculating with."""
    return f"{value:.{WORKING_DIGITS}g}"


def listed(value: float) -> str:
    """Return one number of many that are added up."""
    return f"{value:.{LISTED_DIGITS}g}"


def answer(value: float) -> str:
    """Return a number that was arrived at."""
    return f"{value:.{ANSWER_DIGITS}g}"


def freedom(value: float) -> str:
    """Return degrees of freedom; a stated uncertainty has no end of them."""
    return "inf" if math.isinf(value) else answer(value)


def listed_freedom(value: float) -> str:
    """Return degrees of freedom that others are worked out from."""
    return "inf" if math.isinf(value) else listed(value)


def scaled(measurand: str, value: float) -> float:
    """Return a difference, a width or a contribution [SI] in the measurand's shown unit: its factor alone."""
    return value / MEASURANDS[measurand].shown_unit.factor


def si_unit(measurand: str) -> str:
    """Return the measurand's SI unit, empty where it has none."""
    si = MEASURANDS[measurand].si
    return "" if si == "1" else si


def unit_words(measurand: str) -> str:
    """Return ' [gf/W]' for a head; empty where the measurand has no unit."""
    label = unit_label(measurand)
    return f" [{label}]" if label else ""


def channel_unit(channel: str) -> Unit:
    """Return the unit in which a channel is shown."""
    return parse_unit(CHANNELS[channel].shown)


def filled(formula: str, operands: Sequence[tuple[str, float]] | None = None) -> str:
    """Return a formula with names in its braces, or with their values.

    Examples
    --------
    >>> filled("{a} * {b}^2"), filled("{a} - {b}", [("a", 2.0), ("b", -0.5)])
    ('a * b^2', '2 - (-0.5)')
    """
    if operands is None:
        return _OPERAND.sub(r"\1", formula)
    values: Mapping[str, float] = dict(operands)

    def number(match: re.Match[str]) -> str:
        text = working(values[match[1]])
        return f"({text})" if text.startswith("-") else text

    return _OPERAND.sub(number, formula)


def named_source(line: Contribution) -> str:
    """Return what a budget line's error is common to, which mostly names the source; else the source before it.

    Examples
    --------
    >>> named_source(Contribution("thrust zero", "run spring/r1 thrust zero", "run", 1.0, 9.0))
    'run spring/r1 thrust zero'
    >>> named_source(Contribution("air humidity", "rig loft humidity", "rig", 1.0, 9.0))
    'air humidity [rig loft humidity]'
    """
    return line.key if line.key.endswith(f" {line.source}") else f"{line.source} [{line.key}]"


GAP_LINE: Final = Line("body", "")
"""An empty line."""


def title(text: str) -> list[Line]:
    """Return a heading with an empty line before it."""
    return [GAP_LINE, Line("title", text)]


def indented(text: str, depth: int = 1) -> Line:
    """Return one line that is never broken: what stands in it belongs together."""
    return Line("body", "  " * depth + text)


def paragraph(text: str, width: int, depth: int = 1) -> list[Line]:
    """Return running text, broken to the width."""
    room = max(width - 2 * depth, 40)
    parts = textwrap.wrap(text, room, break_long_words=False, break_on_hyphens=False)
    return [indented(part, depth) for part in parts]


def table_at(table: Table, width: int, depth: int = 1) -> Iterable[Line]:
    """Return a table with a margin; wider than asked where a name would have to be cut in two."""
    room = max(width - 2 * depth, _least_width(table))
    return [Line(line.role, f"{'  ' * depth}{line.text}".rstrip()) for line in table_lines(table, room)]


def _least_width(table: Table) -> int:
    if table.wrap is None:
        return 0
    widths = column_widths(table)
    longest = max((len(word) for row in table.rows for word in row[table.wrap].split()), default=0)
    return sum(widths) - widths[table.wrap] + longest + GAP * (len(widths) - 1)
