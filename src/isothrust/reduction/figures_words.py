"""Conditions and ranges in the units people read, for the reasons why a figure is absent."""

from __future__ import annotations

from isothrust.quantities import MEASURANDS, parse_unit

__all__ = ["said", "said_range"]


def _shown(measurand: str, value: float) -> str:
    return f"{float(parse_unit(MEASURANDS[measurand].shown).from_si(value)):.4g}"


def _plain(text: str) -> str:
    """Write 1.2e+04 as 12000: four digits are enough to find the place, an exponent is not what a tester reads."""
    return f"{float(text):.0f}" if "e+" in text else text


def said(measurand: str, value: float) -> str:
    """Say a value [SI] in the measurand's shown unit."""
    return f"{_plain(_shown(measurand, value))} {MEASURANDS[measurand].shown}"


def said_range(measurand: str, low: float, high: float) -> str:
    """Say a range [SI] in the measurand's shown unit."""
    first, last = _plain(_shown(measurand, low)), _plain(_shown(measurand, high))
    return f"{first} to {last} {MEASURANDS[measurand].shown}"
