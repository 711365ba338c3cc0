"""The air of a run: from its own row, else from the campaign, else the book's default with its larger uncertainty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from isothrust.book.sheet import SheetRow
from isothrust.book.toml_section import Section
from isothrust.records.air import Air, AirOrigin, AirReading
from isothrust.records.rig import Rig

__all__ = ["AIR_QUANTITIES", "AIR_RANGE", "StatedAir", "air_of", "row_air", "section_air"]

AIR_QUANTITIES: Final = ("temperature", "pressure", "humidity")

AIR_RANGE: Final[Mapping[str, tuple[float, float]]] = {
    "temperature": (213.15, 333.15),  # -60 to 60 degC
    "pressure": (30e3, 110e3),  # 9 km up to below the Dead Sea's shore
    "humidity": (0.0, 1.0),
}
"""What air that somebody stands in can be [K, Pa, 1]; a reading outside it is a wrong unit or a slip of the pen."""


@dataclass(frozen=True, slots=True)
class StatedAir:
    """A reading as a table or a settings file states it."""

    value: float
    uncertainty: float | None = None


def section_air(section: Section) -> dict[str, StatedAir]:
    """Return what a settings file says: a value, `"20 degC"`, or one with its uncertainty, `["20 degC", "5 K"]`."""
    stated: dict[str, StatedAir] = {}
    for quantity in AIR_QUANTITIES:
        written = section.raw(quantity)
        if written is None:
            continue
        items = written if isinstance(written, list) else [written]
        if not 1 <= len(items) <= 2:
            section.problem(
                "wrong-type",
                f"{quantity} is {written!r}",
                key=quantity,
                expected='a value, or a value and its standard uncertainty: ["20 degC", "5 K"]',
                fix="write one of these",
            )
            continue
        value = section.parsed(quantity, items[0], quantity)
        spread = "temperature-difference" if quantity == "temperature" else quantity
        uncertainty = section.parsed(quantity, items[1], spread, least=0.0) if len(items) == 2 else None
        if value is not None and _plausible(section, quantity, items[0], value):
            stated[quantity] = StatedAir(value, uncertainty)
    return stated


def _plausible(section: Section, quantity: str, written: object, value: float) -> bool:
    least, most = AIR_RANGE[quantity]
    if least <= value <= most:
        return True
    section.problem(
        "out-of-range",
        f"{quantity} is {written}",
        key=quantity,
        expected="-60 to 60 degC, 300 to 1100 hPa (at the stand, not reduced to sea level), 0 to 100 %",
        fix="mend the number or its unit",
    )
    return False


def row_air(row: SheetRow) -> dict[str, StatedAir]:
    """Return what a run's own row says."""
    readings = {name: row.number(name, least=AIR_RANGE[name][0], most=AIR_RANGE[name][1]) for name in AIR_QUANTITIES}
    return {name: StatedAir(value) for name, value in readings.items() if value is not None}


def air_of(
    rig: Rig, own: Mapping[str, StatedAir], campaign: Mapping[str, StatedAir], book: Mapping[str, StatedAir]
) -> Air | tuple[str, ...]:
    """Return the air of a run, or the names of what nobody states.

    A reading of the day has the uncertainty that the rig states for its sensors, unless its own is written beside it;
    the book's default has only its own.
    """
    sensors = {"temperature": rig.u_temperature, "pressure": rig.u_pressure, "humidity": rig.u_humidity}
    readings: dict[str, AirReading] = {}
    sources: tuple[tuple[AirOrigin, Mapping[str, StatedAir]], ...] = (
        ("run", own),
        ("campaign", campaign),
        ("book", book),
    )
    for name in AIR_QUANTITIES:
        for origin, stated in sources:
            if name in stated:
                found = stated[name]
                spread = found.uncertainty
                if spread is None and origin != "book":
                    spread = sensors[name]
                readings[name] = AirReading(found.value, spread, origin)
                break
    missing = tuple(name for name in AIR_QUANTITIES if name not in readings)
    return missing or Air(**readings)
