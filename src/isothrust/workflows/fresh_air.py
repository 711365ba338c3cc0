"""The air of a fresh recording: said with the command, else read that day, else a default of campaign or book."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from isothrust.book.airs import AIR_RANGE, StatedAir, air_of
from isothrust.book.standing_air import standing_air
from isothrust.errors import Problem, UnitError, UsageError, Where, raise_problems
from isothrust.quantities import QUANTITIES, parse_unit, parse_value
from isothrust.records.agreement import AirSource, FreshAir
from isothrust.records.air import Air
from isothrust.records.book import Book, Campaign, Run
from isothrust.records.rig import Rig
from isothrust.science.air import air_density

__all__ = ["AirPlace", "fresh_air", "said_air"]

_EXAMPLE: Final = "21 degC, 1013 hPa, 40 %"
_QUANTITIES: Final = ("temperature", "pressure", "humidity")
_SHOWN_RANGE: Final = "-60 to 60 degC, 300 to 1100 hPa (at the stand, not reduced to sea level), 0 to 100 %"


@dataclass(frozen=True, slots=True)
class AirPlace:
    """Where and when a fresh recording was made."""

    rig: Rig
    book: Book | None
    campaign: Campaign | None
    day: str
    """ISO 8601."""
    listed: Run | None = None
    """The row that the book has of this very file."""


def said_air(text: str) -> dict[str, StatedAir]:
    """Return what `--air` says: temperature, pressure and humidity, told apart by their units, in any order.

    Raises
    ------
    UsageError
        `wrong-air` and what is wrong with a value.
    """
    found: dict[str, StatedAir] = {}
    problems: list[Problem] = []
    for part in text.split(","):
        where = Where(f"--air {part.strip()}")
        name = _quantity_of(part)
        if name is None or name in found:
            what = "is said twice" if name is not None else "is no temperature, pressure or humidity with its unit"
            problems.append(
                Problem(
                    "wrong-air", f'"{part.strip()}" {what}', where, f'as in "{_EXAMPLE}"', "mend it, or leave it out"
                )
            )
            continue
        try:
            value = parse_value(part.strip(), quantity=name, where=where)
        except UnitError as error:
            problems += error.problems
            continue
        found[name] = StatedAir(value)
        least, most = AIR_RANGE[name]
        if not least <= value <= most:
            problems.append(
                Problem("out-of-range", f"{name} is {part.strip()}", where, _SHOWN_RANGE, "mend the number or its unit")
            )
    raise_problems(problems, UsageError)
    return found


def _quantity_of(part: str) -> str | None:
    """Return which of the three a value is by its unit; None where it has none, or another."""
    try:
        unit = parse_unit(part.strip().lstrip("+-\N{MINUS SIGN}0123456789.").strip())
    except UnitError:  # The caller says what would be right.
        return None
    return next((name for name in _QUANTITIES if QUANTITIES[name].dimension == unit.dimension), None)


def fresh_air(place: AirPlace, said: Mapping[str, StatedAir]) -> tuple[Air | None, FreshAir]:
    """Return the air of a fresh recording and where it came from; no air where somebody would have to be asked."""
    if place.listed is not None and not said:
        air, run = place.listed.air, f"{place.listed.campaign}/{place.listed.name}"
        origin = _origin(air)
        return air, FreshAir(origin, run if origin == "run" else "")
    same_day = [] if place.book is None else _same_day(place.book, place.rig, place.day)
    readings = {**(_readings(same_day[-1]) if same_day else {}), **said}
    if place.book is None:
        found = air_of(place.rig, readings, {}, {})
    else:
        campaign = "" if place.campaign is None else place.campaign.name
        found = standing_air(Path(place.book.root), campaign, place.rig, readings)
    if not isinstance(found, Air):
        return None, FreshAir("nobody")
    if said:
        return found, FreshAir("given")
    if same_day:
        last = same_day[-1]
        return found, FreshAir("run", f"{last.campaign}/{last.name}", _moved(same_day))
    return found, FreshAir(_origin(found))


def _origin(air: Air | None) -> AirSource:
    """Return the least certain of where the three readings came from."""
    if air is None:
        return "nobody"
    origins = {reading.origin for reading in (air.temperature, air.pressure, air.humidity)}
    if "book" in origins:
        return "book"
    return "campaign" if "campaign" in origins else "run"


def _same_day(book: Book, rig: Rig, day: str) -> list[Run]:
    """Return the runs of that day on the same rig for which the air was read, the latest last."""
    runs = [
        run
        for campaign in book.campaigns.values()
        for run in campaign.runs
        if campaign.rig.name == rig.name and run.date[:10] == day and _origin(run.air) == "run"
    ]
    return sorted(runs, key=lambda run: run.date)


def _readings(run: Run) -> dict[str, StatedAir]:
    assert run.air is not None
    return {name: StatedAir(getattr(run.air, name).value) for name in _QUANTITIES}


def _moved(runs: Sequence[Run]) -> float:
    """Return how far the day's densities scatter, in proportion: how far the air may have moved since it was read."""
    logs = [
        math.log(float(air_density(run.air.temperature.value, run.air.pressure.value, run.air.humidity.value)))
        for run in runs
        if run.air is not None
    ]
    return float(np.std(logs, ddof=1)) if len(logs) > 1 else 0.0
