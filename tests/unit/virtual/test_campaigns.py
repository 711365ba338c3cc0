"""Campaigns draw what they say they draw, and the same seed gives the same bytes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.virtual import (
    COMMA,
    CONDITIONS,
    Drive,
    Fault,
    RunPlan,
    Setup,
    Spread,
    Stand,
    campaign,
    coast,
    draw_mounting,
    draw_sample,
    ramp,
    simulate,
    steps,
    with_conditions,
)
from unit.virtual.motors import brief, five_inch, seven_inch


def test_every_design_sample_and_mounting_is_run_through_every_schedule() -> None:
    plans = campaign([five_inch(), seven_inch()], seed=1, samples=2, mountings=3, schedules=(ramp(), coast()))
    assert len(plans) == 2 * 2 * 3 * 2
    assert len({plan.name for plan in plans}) == len(plans)
    by_mounting: dict[str, list[RunPlan]] = {}
    for plan in plans:
        by_mounting.setdefault(plan.mounting, []).append(plan)
    assert len(by_mounting) == 12
    for shared in by_mounting.values():
        assert [plan.schedule.kind for plan in shared] == ["ramp", "coast"]
        assert len({plan.mounting_factors for plan in shared}) == 1
    assert len({plan.sample_factors for plan in plans}) == 4
    assert len({plan.errors for plan in plans}) == 1


def test_rig_errors_scatter_as_the_rig_states() -> None:
    stated = Stand().stated
    drawn = [campaign([five_inch()], seed=seed, mountings=1)[0].errors for seed in range(600)]
    for name, u in (
        ("thrust", stated.thrust_scale),
        ("torque", stated.torque_scale),
        ("speed", stated.speed_scale),
        ("pressure", stated.pressure),
        ("temperature", stated.temperature),
    ):
        values = np.array([getattr(errors, name) for errors in drawn])
        # 600 draws: the standard deviation is known to 2.9 %, the mean to 4 %.
        assert np.std(values) == pytest.approx(u, rel=0.12)
        assert abs(np.mean(values)) < 0.17 * u


def test_mounting_scatter_is_that_of_the_spread_with_thrust_and_torque_partly_together() -> None:
    random = np.random.default_rng(4)
    drawn = np.array([(f.thrust, f.power) for f in (draw_mounting(Spread(), random) for _ in range(4000))])
    np.testing.assert_allclose(drawn.std(axis=0), 0.004, rtol=0.05)
    assert np.corrcoef(drawn.T)[0, 1] == pytest.approx(0.5, abs=0.05)


def test_samples_differ_by_pitch_so_power_moves_further_than_thrust() -> None:
    random = np.random.default_rng(4)
    drawn = [draw_sample(seven_inch(), Spread(), random)[0] for _ in range(2000)]
    thrust, power = np.std([f.thrust for f in drawn]), np.std([f.power for f in drawn])
    assert thrust == pytest.approx(np.hypot(0.010, 0.003), rel=0.06)
    assert power == pytest.approx(np.hypot(0.017, 0.003), rel=0.06)


def test_without_rig_errors_the_rig_reads_true_and_all_else_is_the_same() -> None:
    with_errors = campaign([five_inch()], seed=9)
    without = campaign([five_inch()], seed=9, rig_errors=False)
    assert without[0].errors.thrust == 0.0
    assert without[0].read_air == without[0].air
    assert replace(with_errors[1], errors=without[1].errors, propeller=without[1].propeller) == without[1]


def test_only_the_first_run_creeps() -> None:
    plans = campaign([five_inch()], seed=2, setup=with_conditions(Setup(), "creeping-zero"))
    assert [plan.thrust_zero.creep > 0 for plan in plans] == [True, False, False]


@pytest.mark.parametrize("name", sorted(CONDITIONS))
def test_every_condition_changes_the_setup(name: str) -> None:
    assert with_conditions(Setup(), name) != Setup()


def test_the_same_seed_gives_the_same_bytes_and_another_seed_others() -> None:
    plans = [RunPlan("a", five_inch(), schedule=brief(), faults=(Fault("spike", count=3, size=5.0),))]
    first, again, other = (simulate(plans, seed)[0].log_bytes(COMMA) for seed in (7, 7, 8))
    assert first == again
    assert first != other


def test_a_run_does_not_depend_on_its_neighbours_nor_on_when_it_is_simulated() -> None:
    mine = RunPlan("a", five_inch(), schedule=brief())
    alone = simulate([mine], 3)[0]
    among = simulate(
        [mine, RunPlan("b", seven_inch(), drive=Drive(kv=2000, sinks_current=False), schedule=steps(repeats=0))], 3
    )[0]
    for name in alone.columns:
        np.testing.assert_array_equal(alone.columns[name], among.columns[name])


def test_a_part_of_a_list_can_be_simulated_apart() -> None:
    plans = [RunPlan("a", five_inch(), schedule=brief()), RunPlan("b", seven_inch(), schedule=brief())]
    whole, part = simulate(plans, 3)[1], simulate(plans[1:], 3, first=1)[0]
    for name in whole.columns:
        np.testing.assert_array_equal(whole.columns[name], part.columns[name])


def test_a_log_at_100_hz_is_the_same_run_thinned() -> None:
    full = simulate([RunPlan("a", five_inch(), schedule=brief())], 3)[0]
    slow = simulate([RunPlan("a", five_inch(), stand=Stand(rate=100.0), schedule=brief())], 3)[0]
    thinned = full.thinned(10)
    assert slow.columns["time"][1] == pytest.approx(0.01)
    for name, values in thinned.columns.items():
        np.testing.assert_array_equal(slow.columns[name], values)
