"""Values in the unit that people see, with the names of measurands and conditions in plain words."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from isothrust.present.rounding import plainly, with_digits, with_half_width
from isothrust.quantities import MEASURANDS
from isothrust.records.result import Condition, Interval, Result

__all__ = [
    "condition_words",
    "half_width",
    "has_width",
    "head",
    "in_shown_unit",
    "measurand_words",
    "shown_value",
    "shown_with_unit",
    "unit_label",
]

HEAD_WIDTH: Final = 10
"""Columns of a head's words: about as wide as a value with its half-width."""

SPELLED: Final[Mapping[str, str]] = MappingProxyType(
    {
        "thrust-coefficient": "thrust coefficient",
        "power-coefficient": "power coefficient",
        "figure-of-merit": "figure of merit",
        "tip-mach": "tip Mach number",
        "spin-up-rate": "spin-up rate",
        "spin-down-rate": "spin-down rate",
        "response-time-down": "response time of steps down",
        "dead-time-down": "dead time of steps down",
        "settling-time-down": "settling time of steps down",
        "overshoot-down": "overshoot of steps down",
        "tone-to-noise-ratio": "tone-to-noise ratio",
    }
)
"""Names that are more than their words with blanks in between."""


def in_shown_unit(measurand: str, value: float) -> float:
    """Return an SI value in the measurand's shown unit."""
    return MEASURANDS[measurand].shown_unit.from_si(value)


def unit_label(measurand: str) -> str:
    """Return the shown unit, empty where the measurand has none."""
    label = MEASURANDS[measurand].label
    return "" if label == "1" else label


def measurand_words(measurand: str) -> str:
    """Return the measurand's name in words: 'shaft power'."""
    return SPELLED.get(measurand, measurand.replace("-", " "))


def head(measurand: str) -> str:
    r"""Return a column's head: the name in narrow lines, and the unit where there is one.

    Examples
    --------
    >>> head("peak-electrical-power"), head("figure-of-merit")
    ('peak\nelectrical\npower\n[W]', 'figure of\nmerit\n')
    """
    label = unit_label(measurand)
    words = textwrap.wrap(measurand_words(measurand), HEAD_WIDTH, break_long_words=False, break_on_hyphens=False)
    return "\n".join([*words, f"[{label}]" if label else ""])


def condition_words(condition: Condition | None) -> str:
    """Return 'at 500 gf' or 'at 14000 rpm'; empty for a figure that holds at no condition."""
    if condition is None:
        return ""
    label = MEASURANDS[condition.quantity].label
    return f"at {plainly(in_shown_unit(condition.quantity, condition.value))} {label}"


def half_width(interval: Interval | None) -> float | None:
    """Return half the width of an interval, None where there is none."""
    return None if interval is None else 0.5 * (interval[1] - interval[0])


def has_width(result: Result) -> bool:
    """Say whether a result is shown with a half-width: the legend explains it only then."""
    return result.value is not None and bool(half_width(result.interval))


def shown_value(result: Result, interval: Interval | None) -> str:
    """Return 'value ± half-width' in the shown unit, to the digit that the interval supports."""
    assert result.value is not None
    width = half_width(interval)
    unit = MEASURANDS[result.measurand].shown_unit
    # A width has no offset: only the factor converts it.
    shown_width = None if width is None else width / unit.factor
    return with_half_width(unit.from_si(result.value), shown_width)


def shown_with_unit(measurand: str, value: float) -> str:
    """Return a value [SI] with four digits and its shown unit."""
    label = unit_label(measurand)
    return f"{with_digits(in_shown_unit(measurand, value))} {label}".rstrip()
