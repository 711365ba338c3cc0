"""What the size of a column's values allows: whether a unit makes sense of them, and which units would."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from isothrust.ingest.mapping.values import Facts, shown
from isothrust.quantities import QUANTITIES, parse_unit
from isothrust.records.mapping import UnitChoice

__all__ = ["plausible", "unit_choices"]

_SANE: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        # Greatest readings [SI] met on benches from palm-sized rotors to 40 inch; common practice, from memory.
        "speed": (30.0, 8000.0),
        "thrust": (0.01, 500.0),
        "torque": (1e-4, 200.0),
        "voltage": (1.5, 450.0),
        "current": (0.05, 600.0),
        "electrical-power": (0.2, 50_000.0),
        "temperature": (253.15, 423.15),
        "pressure": (50_000.0, 110_000.0),
        "humidity": (0.01, 1.0),
        "acceleration": (0.1, 5000.0),
    }
)
_UNITS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "time": ("s", "ms", "us", "0.1 s", "0.01 s"),
        "throttle": ("us", "%", "1", "count"),
        "speed": ("rpm", "rad/s", "rev/s"),
        "thrust": ("gf", "N", "kgf", "lbf", "ozf"),
        "torque": ("N m", "N mm", "N cm", "gf cm", "ozf in"),
        "voltage": ("V", "mV", "0.1 V"),
        "current": ("A", "mA", "0.1 A"),
        "electrical-power": ("W", "mW"),
        "temperature": ("degC", "K", "degF"),
        "pressure": ("hPa", "Pa", "kPa", "mmHg", "inHg"),
        "humidity": ("%", "1"),
        "acceleration": ("m/s2", "gn"),
    }
)
_COMMANDS: Final[Mapping[str, tuple[float, float, str]]] = MappingProxyType(
    {
        "us": (1400.0, 2300.0, "a pulse length"),
        "%": (20.0, 110.0, "per cent"),
        "1": (0.2, 1.05, "a share of 1"),
        "count": (110.0, 70_000.0, "steps of a command"),
    }
)
_RAW_ABOVE: Final = 20_000.0
_STEPS: Final = (5e-6, 5.0)
"""Seconds from one row to the next."""


def plausible(quantity: str, unit: str, facts: Facts) -> bool:
    """Say whether a unit makes the greatest reading one that a bench may meet; True where nothing is known of that."""
    sane = _SANE.get(quantity)
    if sane is None or not facts.moves or unit == "count":
        return True
    value = abs(parse_unit(unit).to_si(_greatest(facts)))
    return value <= sane[1]


def unit_choices(quantity: str, facts: Facts | None, *, raw: bool) -> tuple[UnitChoice, ...]:
    """Return the units that would make sense of a column's values, with what the values would then be."""
    if facts is None:
        return ()
    choices = [_count()] if raw and quantity not in {"time", "throttle"} else []
    if quantity == "time":
        choices += _clocks(facts)
    elif quantity == "throttle":
        choices += [
            UnitChoice(unit, f"{words}: {facts.spans()}")
            for unit, (low, high, words) in _COMMANDS.items()
            if low <= facts.high <= high
        ]
    else:
        choices += [
            _choice(quantity, unit, facts) for unit in _UNITS.get(quantity, ()) if _makes_sense(quantity, unit, facts)
        ]
        if quantity in {"thrust", "torque"} and not raw and facts.whole and facts.distinct > 3:
            choices.append(_count())
    return tuple(choices)


def _count() -> UnitChoice:
    return UnitChoice("count", "a converter's own count, which needs a scale")


def _makes_sense(quantity: str, unit: str, facts: Facts) -> bool:
    low, high = _SANE[quantity]
    return low <= abs(parse_unit(unit).to_si(_greatest(facts))) <= high


def _choice(quantity: str, unit: str, facts: Facts) -> UnitChoice:
    known = QUANTITIES[quantity]
    if unit == known.shown:
        return UnitChoice(unit, f"values to {shown(_greatest(facts))} {unit}")
    there = parse_unit(known.shown).from_si(parse_unit(unit).to_si(_greatest(facts)))
    return UnitChoice(unit, f"values to {shown(there)} {known.shown}")


def _clocks(facts: Facts) -> list[UnitChoice]:
    """Return units of time by the rate that they would make of the rows."""
    if not facts.step:
        return []
    fits = [
        (unit, seconds)
        for unit in _UNITS["time"]
        if _STEPS[0] <= (seconds := facts.step * parse_unit(unit).factor) <= _STEPS[1]
    ]
    return [UnitChoice(unit, f"{shown(1.0 / seconds)} rows a second") for unit, seconds in fits]


def _greatest(facts: Facts) -> float:
    return facts.high if facts.high >= -facts.low else facts.low
