"""Propeller and motor: the line, what binds, other windings and sizes."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from isothrust.science.machine import (
    Machine,
    full_throttle_torque,
    greatest_power_speed,
    load_at,
    no_load_speed,
    speed_for_load,
    state_at_thrust,
    thrust_ceiling,
)
from isothrust.science.matching import (
    binding,
    efficient_winding,
    enlarged,
    rewound,
    strongest_winding,
    thrust_over_winding,
)
from isothrust.science.operating import DriveConstants, SupplyLine

SPEED = np.linspace(200.0, 4000.0, 60)
RATIOS = np.geomspace(0.4, 2.5, 60)


def machine(heat: float = np.inf, supply: float = np.inf, *, load: float = 2.2e-8, lead: float = 0.02) -> Machine:
    constants = DriveConstants(180.0, 0.07, 0.006, 2e-3, 1e-6, 0.8)
    return Machine(
        constants,
        SPEED,
        load * SPEED[None] ** 2,
        1.6e-6 * SPEED[None] ** 2,
        SupplyLine(16.0, lead, supply),
        heat_limit=heat,
    )


def test_thrust_and_speed_for_it_are_inverse() -> None:
    values = np.stack([1e-6 * SPEED**1.9, 2e-6 * SPEED**2.1])
    assert_allclose(load_at(SPEED, values, speed_for_load(SPEED, values, [3.0, 7.0])), [3.0, 7.0], rtol=1e-10)


def test_thrust_that_is_never_reached_has_no_speed() -> None:
    assert np.isnan(speed_for_load(SPEED, 1e-12 * SPEED[None] ** 2, 5.0)[0])


def test_line_of_an_ideal_motor_is_straight_and_strongest_at_half_speed() -> None:
    ideal = machine()._replace(constants=DriveConstants(180.0, 0.07), supply=SupplyLine(16.0))
    end = no_load_speed(ideal)
    assert_allclose(end, 180.0 * 16.0, rtol=1e-9)
    places = np.array([[0.0], [0.25], [0.5], [1.0]]) * end
    stall = 16.0 / (0.07 * 180.0)
    assert_allclose(full_throttle_torque(ideal, places)[:, 0], stall * np.array([1.0, 0.75, 0.5, 0.0]), atol=1e-7)
    assert_allclose(greatest_power_speed(ideal), 0.5 * end, rtol=1e-5)


def test_ceiling_lies_on_the_motors_line_and_the_propellers_curve() -> None:
    found = thrust_ceiling(machine())
    assert_allclose(full_throttle_torque(machine(), found.point.speed), found.point.torque, rtol=1e-8)
    assert_allclose(found.thrust, 1.6e-6 * found.point.speed**2, rtol=1e-10)


def test_state_at_the_ceilings_thrust_is_full_throttle() -> None:
    found = thrust_ceiling(machine())
    state = state_at_thrust(machine(), found.thrust)
    assert_allclose(state.duty, 1.0, rtol=1e-8)
    assert_allclose(state.current, found.point.current, rtol=1e-8)


def test_light_propeller_is_speed_bound_and_a_heavy_one_torque_bound() -> None:
    light, heavy = (binding(one, thrust_ceiling(one)) for one in (machine(), machine(load=6e-7)))
    assert not light.torque_bound[0]
    assert light.torque_in_hand[0] > 0.0
    assert light.speed_in_hand[0] > 0.0
    assert heavy.torque_bound[0]
    assert heavy.torque_in_hand[0] < 0.0
    assert heavy.speed_in_hand[0] < 0.0


def test_margin_of_torque_is_what_the_propeller_may_still_ask_for() -> None:
    limited = machine(heat=45.0)
    margin = float(binding(limited, thrust_ceiling(limited)).torque_in_hand[0])
    free = thrust_ceiling(machine()).point
    # A heavier propeller whose full-throttle torque is by that margin more meets the limit exactly.
    aim = (1.0 + margin) * float(free.torque[0])
    loads = np.linspace(1.0, 6.0, 4001)
    many = machine()._replace(
        torque=2.2e-8 * loads[:, None] * SPEED**2, thrust=np.broadcast_to(1.6e-6 * SPEED**2, (4001, 60))
    )
    points = thrust_ceiling(many).point
    assert np.interp(aim, points.torque, points.motor_current) == pytest.approx(45.0, rel=1e-4)


def test_limit_of_current_makes_it_torque_bound() -> None:
    full = float(thrust_ceiling(machine()).point.motor_current[0])
    for limited in (machine(heat=0.9 * full), machine(supply=0.9 * full)):
        found = binding(limited, thrust_ceiling(limited))
        assert found.torque_bound[0]
        assert found.torque_in_hand[0] < 0.0
    roomy = machine(heat=1.1 * full)
    assert not binding(roomy, thrust_ceiling(roomy)).torque_bound[0]


def test_rewound_motor_makes_the_same_heat_at_the_same_torque() -> None:
    before, after = machine(heat=30.0), rewound(machine(heat=30.0), 1.7)
    for one in (before, after):
        state = state_at_thrust(one, 8.0)
        heat = float(one.constants.resistance) * state.motor_current**2
        assert_allclose(heat, 0.07 * state_at_thrust(before, 8.0).motor_current ** 2, rtol=1e-12)
    assert_allclose(float(after.heat_limit) / float(after.constants.kv), 30.0 / 180.0)


def test_without_limits_thrust_rises_with_kv_and_no_best_is_given() -> None:
    thrust = thrust_over_winding(machine(), RATIOS)[0]
    assert np.all(np.diff(thrust) > 0.0)
    assert np.isnan(strongest_winding(machine()).ratio[0])


def test_limit_of_heat_is_a_limit_of_torque_that_more_kv_cannot_pass() -> None:
    limited = machine(heat=35.0)
    best = float(strongest_winding(limited).ratio[0])
    thrust = thrust_over_winding(limited, np.array([0.98, 1.0, 1.3]) * best)[0]
    assert thrust[0] < thrust[1] * (1.0 - 1e-3)
    assert_allclose(thrust[2], thrust[1], rtol=1e-4)
    point = thrust_ceiling(rewound(limited, best)).point
    assert point.motor_current[0] == pytest.approx(35.0 * best, rel=2e-4)
    assert point.duty[0] == pytest.approx(1.0, abs=1e-3)


def test_limit_of_the_supply_has_a_best_kv_that_a_fine_search_finds_too() -> None:
    limited = machine(supply=30.0)
    found = strongest_winding(limited)
    fine = np.geomspace(0.4, 2.5, 20_001)
    thrust = thrust_over_winding(limited, fine)[0]
    assert float(found.value[0]) == pytest.approx(float(np.max(thrust)), rel=2e-5)
    assert float(found.ratio[0]) == pytest.approx(float(fine[np.argmax(thrust)]), rel=2e-3)
    assert not found.at_edge[0]


def test_most_efficient_kv_is_the_least_that_reaches() -> None:
    found = efficient_winding(machine(), 6.0)
    assert thrust_ceiling(rewound(machine(), found.ratio)).thrust[0] == pytest.approx(6.0, rel=2e-3)
    at = float(found.ratio[0])
    power = [
        float((s := state_at_thrust(rewound(machine(), r), 6.0)).voltage[0] * s.current[0]) for r in (at, 1.5 * at)
    ]
    assert power[0] < power[1]


def test_reserve_asks_for_a_higher_kv() -> None:
    once, twice = (efficient_winding(machine(), 6.0, reserve=reserve) for reserve in (1.0, 2.0))
    assert twice.ratio[0] > once.ratio[0]
    assert thrust_ceiling(rewound(machine(), twice.ratio)).thrust[0] == pytest.approx(12.0, rel=2e-3)


def test_thrust_that_no_winding_reaches_has_no_best() -> None:
    assert np.isnan(efficient_winding(machine(heat=5.0), 60.0).ratio[0])


def test_larger_motor_lifts_more_and_its_limit_allows_the_same_heat() -> None:
    small, large = machine(heat=30.0), enlarged(machine(heat=30.0))
    assert thrust_ceiling(large).thrust[0] > thrust_ceiling(small).thrust[0]
    heats = [float(np.square(one.heat_limit) * one.constants.resistance) for one in (small, large)]
    assert_allclose(heats[0], heats[1], rtol=1e-12)


def test_many_machines_are_each_what_they_are_alone() -> None:
    both = machine()._replace(
        torque=np.stack([2.2e-8 * SPEED**2, 4e-8 * SPEED**2]),
        thrust=np.stack([1.6e-6 * SPEED**2] * 2),
        heat_limit=np.array([30.0, 25.0]),
    )
    apart = [strongest_winding(machine(heat=30.0)), strongest_winding(machine(heat=25.0, load=4e-8))]
    assert_allclose(strongest_winding(both).ratio, [float(one.ratio[0]) for one in apart], rtol=1e-12)
