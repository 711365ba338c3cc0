"""Bounds of airspeed against published tunnel tests: a static sweep alone must bound what the tunnel measured."""

from __future__ import annotations

import csv
import math
from functools import cache
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from isothrust.science.airspeed import Craft, Line, level_flight_bounds, thrust_lapse
from support.university import DIGITS, TABLES, sweeps

Floats = NDArray[np.float64]
DENSITY = 1.225
pytestmark = pytest.mark.usefixtures("shared")
PITCHES = (0.4, 1.0)
"""Pitch over diameter for which the bounds are stated."""


class Flight(NamedTuple):
    """One propeller at one speed of rotation, static and advancing."""

    diameter: float
    pitch: float
    n: float
    static: tuple[float, float]
    """CT, CP."""
    advance: Floats
    ct: Floats
    cp: Floats


@cache
def flights() -> tuple[Flight, ...]:
    static = {(sweep.volume, sweep.name): sweep for sweep in sweeps()}
    found = []
    for volume in DIGITS:
        rows: dict[tuple[str, float], list[dict[str, str]]] = {}
        with (TABLES / f"volume{volume}.csv").open(encoding="utf-8") as file:
            for row in csv.DictReader(file):
                if float(row["J"]) > 0.0:
                    rows.setdefault((row["PropName"], float(row["N"])), []).append(row)
        for (name, rpm), mine in rows.items():
            sweep = static.get((volume, name))
            ratio = float(mine[0]["P"]) / float(mine[0]["D"])
            if sweep is None or len(mine) < 5 or not sweep.rpm[0] <= rpm <= 1.05 * sweep.rpm[-1]:
                continue
            if not PITCHES[0] <= ratio <= PITCHES[1]:
                continue
            j, ct, cp = (np.array([float(row[key]) for row in mine]) for key in ("J", "CT", "CP"))
            at = float(np.interp(rpm, sweep.rpm, sweep.ct)), float(np.interp(rpm, sweep.rpm, sweep.cp))
            order = np.argsort(j)
            diameter = sweep.diameter
            found.append(Flight(diameter, ratio * diameter, rpm / 60.0, at, j[order], ct[order], cp[order]))
    return tuple(found)


def test_nearly_every_row_of_the_tunnel_lies_between_the_bounds() -> None:
    inside = rows = 0
    for flight in flights():
        lower, upper = thrust_lapse(flight.advance * flight.diameter / flight.pitch)
        share = flight.ct / flight.static[0]
        inside += int(np.sum((share >= np.where(lower > 0.0, lower, -np.inf)) & (share <= np.maximum(upper, 0.05))))
        rows += share.size
    assert rows > 10_000
    assert inside / rows > 0.985


def test_top_speed_from_the_tunnel_lies_between_the_bounds() -> None:
    """A craft of four such rotors with a thrust of four times its weight, at a constant speed of rotation."""
    inside = cases = 0
    for flight in flights():
        scale = DENSITY * flight.n**2 * flight.diameter**4
        power = DENSITY * flight.n**3 * flight.diameter**5
        static = flight.static[0] * scale
        craft = Craft(4.0 * static / 4.0 / 9.80665, 4, 4.0 * flight.diameter**2 * 0.25, DENSITY)
        truth = _top_speed(craft, flight, scale)
        if truth is None:
            continue
        omega = 2.0 * math.pi * flight.n
        give = max(float(np.max(flight.cp)), flight.static[1]) * power
        line = Line(np.array([omega]), np.array([static]), np.array([give]), flight.diameter, flight.pitch)
        lower, upper = level_flight_bounds(craft, line)
        inside += lower <= truth <= upper
        cases += 1
    assert cases > 300
    assert inside / cases > 0.985


def _top_speed(craft: Craft, flight: Flight, scale: float) -> float | None:
    """Return where thrust measured in the tunnel meets what the craft needs; None where the table ends before."""
    airspeeds = np.linspace(0.5, 80.0, 1600)
    drag = 0.5 * craft.density * airspeeds**2 * craft.drag_area / 4.0
    need = np.hypot(craft.mass * 9.80665 / 4.0, drag)
    axial = airspeeds * drag / need / (flight.n * flight.diameter)
    advance, ct = np.append(0.0, flight.advance), np.append(flight.static[0], flight.ct)
    there = np.interp(axial, advance, ct) * scale
    short = np.flatnonzero(there < need)
    if not short.size or axial[short[0]] > advance[-1]:
        return None
    return float(airspeeds[short[0]])
