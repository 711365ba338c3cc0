"""A fresh run beside earlier ones: differences that are known in closed form, and what can be said of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import pytest

import made_runs
from isothrust.records.agreement import Agreement, FreshAir
from isothrust.records.curve import Influence, SmoothCurve
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.agreeing import agreement
from isothrust.reduction.figures import RunContext
from isothrust.reduction.pooling import CampaignRuns

GIVEN = FreshAir("given")
ROWS = (
    ("r1", "Auk", "1", +0.002),
    ("r2", "Auk", "1", -0.002),
    ("r3", "Auk", "2", +0.014),
    ("r4", "Auk", "2", +0.010),
    ("r5", "Gull", "1", +0.002),
    ("r6", "Gull", "1", -0.002),
    ("r7", "Gull", "2", -0.013),
    ("r8", "Gull", "2", -0.007),
)
"""Run, design, sample, and by how much its thrust and torque are off."""


def curves(thrust: float = 0.0, torque: float = 0.0, *, noise: float = 0.0005) -> dict[str, SmoothCurve]:
    found = made_runs.standard_curves(noise=noise, scale=1.0 + thrust)
    found["torque"] = made_runs.curve("torque", lambda w: (1 + torque) * made_runs.KQ * (1.1 - 5e-5 * w), noise=noise)
    return found


def run(name: str, given: Mapping[str, SmoothCurve], *influences: Influence, **others: object) -> ReducedRun:
    return made_runs.run(name, curves=given, influences=influences, **others)  # type: ignore[arg-type]


def earlier(*extra: ReducedRun, scale: float = 0.003, **others: object) -> CampaignRuns:
    runs = []
    for name, design, sample, off in ROWS:
        given = curves(off, off)
        common = made_runs.scale_influence("thrust", given, scale)
        runs.append(run(name, given, common, design=design, sample=sample, **others))
    runs += extra
    return CampaignRuns("spring", tuple(runs), contexts={one.run: RunContext(made_runs.DIAMETER) for one in runs})


def fresh(thrust: float = 0.0, torque: float = 0.0, **others: object) -> ReducedRun:
    given = curves(thrust, torque)
    return run("fresh", given, made_runs.scale_influence("thrust", given, 0.003), **{"sample": "1"} | others)


def held(one: ReducedRun, runs: CampaignRuns | None = None, air: FreshAir = GIVEN) -> Agreement:
    return agreement(one, runs or earlier(), air, diameter=made_runs.DIAMETER)


def by_name(found: Agreement) -> dict[str, float]:
    return {part.measurand: part.difference for part in found.parts}


def test_a_healthy_run_agrees_and_its_difference_is_that_from_its_own_samples_mean() -> None:
    found = held(fresh(0.001, -0.001))
    assert found.says == "agrees"
    # sample 1 of the design was run twice, +0.2 and -0.2 % off: their mean is not off at all
    assert by_name(found) == pytest.approx({"thrust-coefficient": 0.001, "power-coefficient": -0.001}, abs=2e-6)
    assert found.earlier is not None
    assert (found.earlier.runs, found.earlier.samples, found.known_sample) == (("r1", "r2"), 1, True)


def test_an_unknown_sample_is_held_against_all_samples_with_a_wider_interval() -> None:
    own, other = held(fresh()), held(fresh(sample=""))
    assert other.earlier is not None
    assert (other.earlier.runs, other.known_sample) == (("r1", "r2", "r3", "r4"), False)
    assert other.parts[0].uncertainty > own.parts[0].uncertainty
    # the mean of the samples' means lies (0 + 1.2 %)/2 above the fresh run
    assert other.parts[0].difference == pytest.approx(-0.006, abs=1e-4)


@pytest.mark.parametrize(
    ("thrust", "torque", "words"),
    [
        (-0.05, 0.0, "thrust"),
        (0.0, 0.05, "torque"),
        (-0.04, -0.04, "air and the speed"),
        (0.05, -0.05, "propeller itself"),
        (0.05, 0.10, "propeller itself"),
    ],
)
def test_what_moved_tells_where_to_look(thrust: float, torque: float, words: str) -> None:
    found = held(fresh(thrust, torque))
    assert found.says == "differs"
    assert words in found.look_at
    shifts = {"thrust-coefficient": thrust, "power-coefficient": torque}
    assert by_name(found) == pytest.approx(shifts, abs=2e-6)


def test_an_error_that_both_share_cancels() -> None:
    """A rig's scale known to 30 % only says nothing against a run on the same rig, and a lot against one on another."""
    wild = earlier(scale=0.3)
    given = curves(0.05)
    same = run("fresh", given, made_runs.scale_influence("thrust", given, 0.3), sample="1")
    other = run(
        "fresh", given, made_runs.scale_influence("thrust", given, 0.3, key="rig shed thrust scale"), sample="1"
    )
    assert held(same, wild).says == "differs"
    assert held(other, wild).parts[0].uncertainty == pytest.approx(0.3 * 1.05 * math.sqrt(2.0), rel=0.01)
    assert held(other, wild).says == "unclear"


def test_air_that_was_not_read_for_the_run_does_not_cancel() -> None:
    def with_air(one: ReducedRun) -> ReducedRun:
        shifts = {name: -0.02 * one.curves[name].coefficients for name in ("thrust", "torque")}
        error = Influence("air temperature", "rig loft temperature", "rig", math.inf, shifts)
        return replace(one, influences=(*one.influences, error))

    runs = earlier()
    runs = replace(runs, runs=tuple(with_air(one) for one in runs.runs))
    own = held(with_air(fresh()), runs)
    default = held(with_air(fresh()), runs, FreshAir("campaign"))
    assert own.parts[0].uncertainty < 0.005
    # 2 % of the fresh run and 2 % of the earlier ones, independent
    assert default.parts[0].uncertainty == pytest.approx(math.hypot(0.02, 0.02), rel=0.02)
    moved = held(with_air(fresh()), runs, FreshAir("run", "spring/r2", doubt=0.01))
    assert moved.parts[0].uncertainty == pytest.approx(math.hypot(0.01, own.parts[0].uncertainty), rel=1e-3)


def test_where_nothing_was_mounted_twice_a_difference_is_shown_and_not_judged() -> None:
    alone = earlier()
    alone = replace(alone, runs=tuple(one for one in alone.runs if one.run in {"r1", "r5"}))
    found = held(fresh(-0.05), alone)
    assert (found.says, found.unknown) == ("unclear", ("mounting",))
    assert found.parts[0].difference == pytest.approx(-0.05 / 1.0 - 0.002, abs=3e-4)
    # what lies within a bound that is too low lies within the right one as well
    assert held(fresh(0.002, 0.002), alone).says == "agrees"


def test_too_wide_an_interval_is_no_agreement() -> None:
    noisy = [run(f"n{k}", curves(off, off), sample="1") for k, off in enumerate((0.3, -0.3))]
    contexts = {one.run: RunContext(made_runs.DIAMETER) for one in noisy}
    found = held(fresh(), CampaignRuns("spring", tuple(noisy), contexts=contexts))
    assert found.parts[0].half_width > 0.1
    assert (found.says, "repeats" in found.unknown) == ("unclear", True)


def test_a_single_speed_that_is_off_is_told_where_it_is() -> None:
    given = curves()
    kink = given["thrust"].coefficients.copy()
    kink[-2:] *= 0.9  # the last two coefficients act on the uppermost fifth of the speeds
    bent = {**given, "thrust": replace(given["thrust"], coefficients=kink)}
    found = held(run("fresh", bent, sample="1"))
    assert found.says == "differs"
    points = {point.condition.value for part in found.parts for point in part.points if point.real}
    assert len(points) == 1
    assert points.pop() > 0.9 * made_runs.HIGH


def test_without_a_diameter_thrust_and_torque_are_compared_over_speed() -> None:
    found = agreement(fresh(-0.05), earlier(), GIVEN, diameter=None)
    assert by_name(found) == pytest.approx({"thrust": -0.05, "torque": 0.0}, abs=2e-6)


def test_without_air_thrust_is_compared_and_not_judged() -> None:
    found = held(fresh(-0.05, density=None), air=FreshAir("nobody"))
    assert set(by_name(found)) == {"thrust", "torque"}
    assert (found.says, found.unknown) == ("unclear", ("air",))


def test_without_torque_thrust_alone_is_compared() -> None:
    given = curves(-0.05)
    del given["torque"]
    found = held(run("fresh", given, sample="1"))
    assert list(by_name(found)) == ["thrust-coefficient"]
    assert "thrust" in found.look_at
    assert "torque did not move" not in found.look_at


def test_without_speed_power_and_throttle_are_compared_at_equal_thrust() -> None:
    def by_thrust(name: str, scale: float, **others: object) -> ReducedRun:
        kept = {
            "electrical-power": made_runs.curve("electrical-power", 12.0 * scale, noise=0.0005, low=1.0, high=4.0),
            "throttle": made_runs.curve("throttle", lambda x: x / 5.0, noise=0.0005, low=1.0, high=4.0),
        }
        return run(name, kept, abscissa="root-thrust", **others)

    rows = (("r1", 1.002), ("r2", 0.998), ("r3", 1.0))
    runs = tuple(by_thrust(name, scale, sample="1") for name, scale in rows)
    campaign = CampaignRuns("spring", runs)
    assert held(by_thrust("fresh", 1.001, sample="1"), campaign).says == "agrees"
    found = held(by_thrust("fresh", 1.10, sample="1"), campaign)
    assert found.says == "differs"
    assert by_name(found) == pytest.approx({"electrical-power": 0.10, "throttle": 0.0}, abs=1e-4)
    assert {point.condition.quantity for part in found.parts for point in part.points} == {"thrust"}
    # Another day's air moves power at a thrust by half as much as density (momentum theory): it is doubted, not judged.
    thin = held(by_thrust("fresh", 1.10, sample="1", density=1.0), campaign)
    assert thin.parts[0].uncertainty > 0.5 * 0.5 * math.log(1.19 / 1.0)


def slow(top: float) -> dict[str, SmoothCurve]:
    return {"thrust": made_runs.curve("thrust", made_runs.KT, noise=0.001, low=100.0, high=top)}


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (fresh(kind="steps"), "not of a run of kind steps"),
        (fresh(design="Skua"), "no earlier run of Skua"),
        (run("fresh", slow(150.0), sample="1"), "no speed in common"),
        (run("fresh", {}, sample="1"), "no curve"),
    ],
)
def test_what_cannot_be_compared_says_why(one: ReducedRun, words: str) -> None:
    found = held(one)
    assert (found.says, found.parts) == ("nothing", ())
    assert found.absent is not None
    assert words in found.absent


def test_speeds_lie_on_round_numbers_within_what_both_measured() -> None:
    found = held(run("fresh", slow(900.0), sample="1"))
    speeds = [point.condition.value * 30.0 / math.pi for point in found.parts[0].points]
    assert speeds == pytest.approx([4500.0, 6500.0, 8500.0])
