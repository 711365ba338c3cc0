"""The words of `predict` and `match` that are values with units, and the battery as the trade writes it."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from isothrust.errors import Problem, UnitError, UsageError, Where, raise_problems
from isothrust.quantities import parse_unit, parse_value
from isothrust.quantities.quantity import QUANTITIES
from isothrust.records.prediction import Craft, Power

__all__ = ["Values", "battery_of", "craft_of", "power_of"]

CELL_FULL: Final = 4.2
"""Voltage of a full lithium-polymer cell without load [V]."""
CELL_EMPTY: Final = 3.5
"""Where a flight ends, without load [V]."""
USABLE: Final = 0.8
"""Share of the charge that a flight takes, by common practice."""
_PART: Final = re.compile(r"\s*(\d+(?:\.\d+)?)\s*([^\s\d]+)")


class Values:
    """Reads values with units; what is wrong with any of them is told together with the rest."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def read(self, option: str, text: str | None, quantity: str, *, from_zero: bool = False) -> float | None:
        """Return a value [SI], None where the option was not given or cannot be read; it must be above zero."""
        if text is None:
            return None
        try:
            value = parse_value(text, quantity=quantity, where=Where(f"{option} {text}"))
        except UnitError as error:
            self.problems += error.problems
            return None
        if value > 0.0 or (from_zero and value == 0.0):
            return value
        self.refuse(option, text, f"a {quantity} above zero")
        return None

    def temperature(self, option: str, text: str | None) -> float | None:
        """Return a temperature [K]."""
        return self.read(option, text, "temperature")

    def length(self, option: str, text: str | None) -> float | None:
        """Return a length of either sign [m]."""
        if text is None:
            return None
        try:
            return parse_value(text, quantity="length", where=Where(f"{option} {text}"))
        except UnitError as error:
            self.problems += error.problems
            return None

    def refuse(self, option: str, text: str, expected: str) -> None:
        """Remember that a value is out of range."""
        what = f"{option.removeprefix('--')} is {text.strip()}"
        self.problems.append(
            Problem("out-of-range", what, Where(f"{option} {text}"), expected=expected, fix="mend the value")
        )

    def check(self) -> None:
        """Raise UsageError with everything that was wrong."""
        raise_problems(self.problems, UsageError)


def power_of(given: Callable[[str], str | None], values: Values) -> Power | None:
    """Return what feeds the controllers from --battery, or --voltage and its company; None where neither is given."""
    limit = values.read("--limit", given("limit"), "current")
    energy = values.read("--usable-energy", given("usable_energy"), "energy")
    text = given("battery")
    if text is not None:
        _alone(given, values)
        return battery_of(text, values, energy, limit)
    voltage = values.read("--voltage", given("voltage"), "voltage")
    resistance = values.read("--battery-resistance", given("battery_resistance"), "resistance", from_zero=True)
    empty = values.read("--empty-voltage", given("empty_voltage"), "voltage")
    if voltage is None:
        return None
    if empty is not None and empty > voltage:
        values.refuse("--empty-voltage", given("empty_voltage") or "", "less than --voltage")
    sags = f" with {1e3 * resistance:g} mohm" if resistance else ""
    return Power(voltage, resistance or 0.0, empty, energy, limit, f"{voltage:g} V{sags}")


def _alone(given: Callable[[str], str | None], values: Values) -> None:
    """Refuse what a battery says itself: its voltages and resistance."""
    for name in ("voltage", "battery_resistance", "empty_voltage"):
        if given(name) is not None:
            option = f"--{name.replace('_', '-')}"
            values.problems.append(
                Problem(
                    "contradictory-options",
                    f"--battery and {option} both say what feeds the craft",
                    Where(f"{option} {given(name)}"),
                    expected="one of the two",
                    fix=f"leave {option} out, or write the battery as --voltage, --battery-resistance, --usable-energy",
                )
            )


def battery_of(text: str, values: Values, energy: float | None, limit: float | None) -> Power | None:
    """Return a lithium-polymer battery written as `6S 1300 mAh 25 mohm`: cells in series, charge, resistance."""
    cells = charge = resistance = None
    parts = _PART.findall(text)
    unread = _PART.sub("", text).strip()
    try:
        for number, unit in parts:
            if unit.upper() == "S":
                cells = float(number)
                continue
            dimension = parse_unit(unit, where=Where(f"--battery {text}")).dimension
            value = parse_unit(unit).to_si(float(number))
            if dimension == QUANTITIES["charge"].dimension:
                charge = value
            elif dimension == QUANTITIES["resistance"].dimension:
                resistance = value
            else:
                unread = f"{number} {unit}"
    except UnitError as error:
        values.problems += error.problems
        return None
    if unread or cells is None or cells < 1 or cells != int(cells):
        what = f'"{unread}" cannot be read' if unread else "the cells in series are not told, or not whole"
        values.problems.append(
            Problem(
                "bad-battery",
                f"battery {text}: {what}",
                Where(f"--battery {text}"),
                expected='cells in series, charge and resistance: "6S 1300 mAh 25 mohm"',
                fix="write it so, or give --voltage, --battery-resistance and --usable-energy",
            )
        )
        return None
    mean = 0.5 * (CELL_FULL + CELL_EMPTY) * cells
    usable = energy if energy is not None or charge is None else USABLE * charge * mean
    words = f"a full {cells:.0f}S battery, {CELL_FULL * cells:.1f} V"
    if resistance is not None:
        words += f" with {1e3 * resistance:g} mohm"
    if energy is None and usable is not None:
        words += f", {100.0 * USABLE:.0f} % of its charge usable"
    return Power(CELL_FULL * cells, resistance or 0.0, CELL_EMPTY * cells, usable, limit, words)


def craft_of(given: Callable[[str], str | None], rotors: int, values: Values) -> Craft | None:
    """Return the craft, None where no mass is given."""
    mass = values.read("--mass", given("mass"), "mass")
    drag = values.read("--drag-area", given("drag_area"), "area")
    if rotors < 1:
        values.refuse("--rotors", str(rotors), "1 or more")
        return None
    return None if mass is None else Craft(mass, rotors, drag)
