"""A room that is too small, and a propeller on backwards: physics of the simulated stand held to known limits."""

from __future__ import annotations

import math

import numpy as np
import pytest

from isothrust.virtual import Room, RunPlan, VirtualRun, holds, make_propeller, on_backwards, simulate
from support.field import needs_field
from support.university import TABLES

PROPELLER = make_propeller("seven", diameter=0.1778, pitch=0.1, blades=2, ct=0.11, cp=0.045, inertia=1.4e-5)
ONE = holds((0.5,), stay=12.0, end=3.0)


def test_a_room_takes_thrust_at_a_speed_in_the_end_by_its_share_of_the_induced_velocity() -> None:
    """Inflow = share x induced velocity, so J = share x sqrt(2 CT/pi); CT falls by 0.6 of a straight line first."""
    plans = [RunPlan("a", PROPELLER, schedule=ONE, room=room) for room in (Room(0.1, 1.0), None)]
    small, large = simulate(plans, 3)
    ct = float(PROPELLER.thrust_coefficient(large.truth.top_speed / (2.0 * math.pi)))
    part = 0.1 * math.sqrt(2.0 * ct / math.pi) / (1.05 * 0.1 / 0.1778 + 0.12)
    assert _factor(small) / _factor(large) - 1.0 == pytest.approx(-0.6 * part - 0.4 * part**2, abs=3e-3)


def _factor(run: VirtualRun) -> float:
    """Thrust over speed squared in the last seconds of the hold, of what was recorded."""
    time = run.columns["time"]
    inside = (time > 11.0) & (time < 13.0)
    return float(np.mean(run.columns["thrust"][inside]) / np.mean(run.columns["speed"][inside] ** 2))


def test_a_room_without_a_share_changes_nothing() -> None:
    plain, empty = (simulate([RunPlan("a", PROPELLER, schedule=ONE, room=room)], 3)[0] for room in (None, Room(0.0)))
    for name, values in plain.columns.items():
        assert np.array_equal(values, empty.columns[name]), name


@needs_field
def test_thrust_falls_with_advance_as_published_sweeps_do() -> None:
    """Slope of CT at small advance ratios, over CT: the room's straight line lies among the tables' own."""
    rows: dict[tuple[str, float], list[tuple[float, float, float]]] = {}
    for line in (TABLES / "volume1.csv").read_text(encoding="utf-8").splitlines()[1:]:
        cells = line.split(",")
        ratio = float(cells[5]) / float(cells[4])
        rows.setdefault((cells[0], round(float(cells[7]), -2)), []).append((float(cells[6]), float(cells[8]), ratio))
    shares = []
    for found in rows.values():
        j, ct, ratio = np.array(found).T
        low = (j > 0.0) & (j < 0.45 * ratio[0])
        if np.count_nonzero(low) >= 4 and 0.4 < ratio[0] < 0.9:
            slope, level = np.polyfit(j[low], ct[low], 1)
            shares.append(-slope / level * (1.05 * ratio[0] + 0.12))
    assert len(shares) > 50
    assert 0.5 < float(np.median(shares)) < 0.7  # 1: straight to the advance ratio of no thrust


@pytest.mark.parametrize("ratio", [0.45, 0.6, 0.8])
def test_blades_on_backwards_lose_about_half_the_thrust_for_much_the_same_power(ratio: float) -> None:
    made = make_propeller("p", diameter=0.2, pitch=0.2 * ratio, blades=2, ct=0.11, cp=0.05, inertia=1e-5)
    factors = on_backwards(made)
    assert 0.3 < factors.thrust < 0.75
    assert 0.6 < factors.power < 1.3
    assert factors.thrust**1.5 / factors.power < 0.65


def test_the_right_way_round_is_the_fixed_point_of_the_blade_element_formula() -> None:
    """CT = s a/2 (angle/3 - inflow/2) with CT = 2 inflow^2: the ratio of two angles follows from it by hand."""
    ct = float(PROPELLER.thrust_coefficient(14_000 / 60)) * 4 / math.pi**3
    pitch, camber = math.atan(0.1 / (0.75 * math.pi * 0.1778)), math.radians(3.5)
    grip = 2 * ct / ((pitch + camber) / 3 - math.sqrt(ct / 2) / 2)
    turned = on_backwards(PROPELLER).thrust * ct
    assert turned == pytest.approx(grip / 2 * ((pitch - camber) / 3 - math.sqrt(turned / 2) / 2), rel=1e-12)
