"""Bounds of climb and top speed: what they owe each other, and the momentum theory they rest on."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.science.airspeed import Craft, Line, climb_bounds, level_flight_bounds, thrust_lapse
from isothrust.science.flight import climb_speed
from isothrust.science.momentum import induced_velocity

SPEED = np.linspace(2000.0, 2900.0, 200)
LINE = Line(SPEED, 12.0 * (SPEED / SPEED[0]) ** 2, 380.0 * (SPEED[-1] - SPEED) / 900.0, 0.127, 0.11)
CRAFT = Craft(0.7, 4, 0.012, 1.2)


def test_lapse_bounds_stand_in_order_and_fall() -> None:
    lower, upper = thrust_lapse(np.linspace(0.0, 2.0, 101))
    assert np.all(lower <= upper)
    assert np.all(np.diff(lower) <= 0.0)
    assert np.all(np.diff(upper) <= 0.0)
    assert lower[-1] == upper[-1] == 0.0


@pytest.mark.parametrize("bounds", [climb_bounds, level_flight_bounds])
def test_lower_bound_stands_below_the_upper(bounds: object) -> None:
    lower, upper = bounds(CRAFT, LINE)  # type: ignore[operator]
    assert 0.0 < lower < upper


def test_more_drag_makes_both_bounds_slower() -> None:
    draggy = CRAFT._replace(drag_area=0.03)
    assert all(a < b for a, b in zip(level_flight_bounds(draggy, LINE), level_flight_bounds(CRAFT, LINE), strict=True))


def test_no_bound_passes_what_drag_leaves_of_the_greatest_power() -> None:
    _, upper = level_flight_bounds(CRAFT, LINE)
    assert upper <= (2.0 * 4.0 * 380.0 / (CRAFT.density * CRAFT.drag_area)) ** (1.0 / 3.0) * (1.0 + 1e-9)


def test_climb_is_bounded_by_momentum_theory_where_pitch_does_not_bind() -> None:
    line = LINE._replace(pitch=10.0, thrust=np.full(SPEED.size, 50.0))
    thrust = 0.7 * 9.80665 / 4.0
    expected = climb_speed(380.0, thrust, induced_velocity(thrust, 1.2, 0.127))
    _, upper = climb_bounds(CRAFT._replace(drag_area=0.0), line)
    assert upper == pytest.approx(float(expected), rel=1e-9)


def test_craft_too_heavy_to_hover_neither_climbs_nor_flies() -> None:
    heavy = CRAFT._replace(mass=10.0)
    assert climb_bounds(heavy, LINE)[0] == level_flight_bounds(heavy, LINE)[0] == 0.0
