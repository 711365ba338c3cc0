"""What only the runs of a campaign show together, on hand-made runs whose curves and zeros are known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun, ZeroFit
from isothrust.reduction.checks.campaign.catalogue import examine_campaign
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence, Twin
from isothrust.reduction.checks.campaign.lookalike import check_lookalike
from isothrust.reduction.checks.campaign.noise import check_noise
from isothrust.reduction.checks.campaign.odd import stands_apart
from isothrust.reduction.checks.campaign.twice import check_twice
from isothrust.reduction.checks.campaign.zeros import check_zeros
from made_runs import DENSITY0, HIGH, KQ, KT, curve, run


def zero(name: str, before: float | None, after: float | None = None, scatter: float = 0.01) -> ZeroFit:
    windows = (None if before is None else (0.0, 1.9), None if after is None else (13.0, 15.0))
    return ZeroFit(name, before, after, *windows, scatter, 0.002)


def member(
    name: str,
    *,
    thrust: float = 1.0,
    torque: float = 1.0,
    level: float = 0.05,
    noise: float = 0.05,
    scatter: float = 0.01,
    **others: object,
) -> ReducedRun:
    """A run whose curves are so many times the usual, with a zero, and noise of its own."""
    random = np.random.default_rng(sum(map(ord, name)))
    own = float(1.0 + 0.02 * random.standard_normal())
    curves = {
        "thrust": replace(curve("thrust", thrust * KT), residual_sd=noise * own),
        "torque": replace(curve("torque", torque * KQ), residual_sd=0.02 * noise * own),
    }
    after = level + 0.001 * own
    zeros = {"thrust": zero("thrust", level, after, scatter * own), "torque": zero("torque", 1e-3 * own, 1e-3)}
    return run(name, curves=curves, **({"zeros": zeros} | others))  # type: ignore[arg-type]


def together(runs: Sequence[ReducedRun], **more: object) -> CampaignEvidence:
    return CampaignEvidence("spring", tuple(runs), **more)  # type: ignore[arg-type]


def named(findings: Sequence[Finding]) -> dict[str, str]:
    return {finding.run: finding.code for finding in findings}


def auks(count: int = 3, **others: object) -> list[ReducedRun]:
    return [member(f"a{k}", thrust=1.0 + 0.004 * k, torque=1.0 - 0.004 * k, **others) for k in range(count)]  # type: ignore[arg-type]


def terns(count: int = 3) -> list[ReducedRun]:
    return [
        member(f"t{k}", thrust=1.2 + 0.004 * k, torque=1.3 - 0.004 * k, design="Tern", kind="holds")
        for k in range(count)
    ]


def test_a_number_is_odd_by_what_the_others_scatter_and_how_many_they_are() -> None:
    random = np.random.default_rng(1)
    many = np.append(random.standard_normal(40), 8.0)
    assert np.flatnonzero(stands_apart(many, fewest=6) > 1.0).tolist() == [40]
    few = np.append(random.standard_normal(5), 8.0)
    assert not np.any(np.abs(stands_apart(few, fewest=6)) > 1.0)  # of five others one may well be off by so much
    assert np.all(stands_apart(few, fewest=7) == 0.0)


def test_hardly_a_normal_number_is_odd() -> None:
    random = np.random.default_rng(2)
    apart = [np.max(np.abs(stands_apart(random.standard_normal(n), fewest=6))) for n in (6, 8, 12, 30) * 500]
    assert np.count_nonzero(np.array(apart) > 1.0) <= 3  # 28 000 numbers at one in a hundred thousand


def test_a_run_among_another_design_s_is_set_aside_and_named_with_it() -> None:
    wrong = member("a9", thrust=1.2, torque=1.3)
    (finding,) = check_lookalike(together([*auks(), wrong, *terns()]))
    assert (finding.run, finding.code, finding.severity) == ("a9", "design-doubtful", "fail")
    assert "Tern" in finding.message
    # the nearest of its own is 1.008 in thrust and 0.992 in torque: logarithms 0.174 and 0.270, together 0.227
    assert float(finding.message.split("are ")[1].split(" %")[0]) == pytest.approx(25.5, abs=0.3)


def test_two_swapped_runs_are_both_set_aside_where_the_others_outnumber_them() -> None:
    swapped = [member("a9", thrust=1.2, torque=1.3), member("t9", design="Tern", kind="holds")]
    assert set(named(check_lookalike(together([*auks(), *swapped, *terns()])))) == {"a9", "t9"}


def test_a_design_is_not_doubted_without_evidence_on_both_sides() -> None:
    wrong = member("a9", thrust=1.2, torque=1.3)
    assert check_lookalike(together([wrong, *terns()])) == []  # nothing else of its own
    assert check_lookalike(together([*auks(), wrong, *terns(1)])) == []  # one run is no design
    assert check_lookalike(together([*auks(), member("a9", thrust=1.5, torque=1.3), *terns()])) == []  # like nobody
    assert check_lookalike(together([*auks(), *terns()])) == []


def test_designs_nearer_than_their_own_runs_scatter_are_not_told_apart() -> None:
    near = [member(f"n{k}", thrust=1.02, torque=1.02, design="Knot") for k in range(3)]
    assert check_lookalike(together([*auks(), member("a9", thrust=1.02, torque=1.02), *near])) == []


def test_runs_without_curves_or_air_are_passed_over() -> None:
    wrong = member("a9", thrust=1.2, torque=1.3)
    assert check_lookalike(together([*auks(), replace(wrong, curves={}), *terns()])) == []
    assert check_lookalike(together([*auks(), replace(wrong, density=None), *terns()])) == []
    assert examine_campaign(together([])) == []


def test_a_run_of_another_sample_is_told_only_where_the_samples_stand_far_apart() -> None:
    def of(sample: str, name: str, thrust: float) -> ReducedRun:
        return member(name, thrust=thrust, torque=thrust, sample=sample)

    ones = [of("1", f"o{k}", 1.0 + 0.002 * k) for k in range(3)]
    twos = [of("2", f"w{k}", 1.08 + 0.002 * k) for k in range(3)]
    (finding,) = check_lookalike(together([*ones, *twos, of("1", "x", 1.081)]))
    assert (finding.run, finding.code, finding.severity) == ("x", "sample-doubtful", "warning")
    near = [of("2", f"w{k}", 1.02 + 0.002 * k) for k in range(3)]
    assert check_lookalike(together([*ones, *near, of("1", "x", 1.021)])) == []


def twins(*places: Twin) -> dict[str, tuple[Twin, ...]]:
    return {"beef": places}


def test_the_later_of_two_runs_with_one_file_is_set_aside() -> None:
    runs = auks()
    hashes = {"a0": {"log": "beef"}, "a1": {"log": "cafe"}, "a2": {"log": "beef"}}
    files = {name: {"log": f"{name}.csv"} for name in hashes}
    found = twins(Twin("spring", "a0", "log", "a0.csv"), Twin("spring", "a2", "log", "a2.csv"))
    (finding,) = check_twice(together(runs, hashes=hashes, files=files, twins=found))
    assert (finding.run, finding.code, finding.severity) == ("a2", "recording-twice", "fail")
    assert "run a0 (a0.csv)" in finding.message


def test_a_file_of_an_earlier_campaign_is_told_with_its_campaign_and_one_of_a_later_is_not() -> None:
    hashes, files = {"a0": {"log": "beef"}}, {"a0": {"log": "a0.csv"}}
    own, other = Twin("spring", "a0", "log", "a0.csv"), Twin("winter", "w1", "log", "w1.csv")
    (finding,) = check_twice(together(auks(1), hashes=hashes, files=files, twins=twins(other, own)))
    assert "winter/w1" in finding.message
    assert check_twice(together(auks(1), hashes=hashes, files=files, twins=twins(own, other))) == []


def test_one_file_may_serve_several_kinds_but_not_under_two_names() -> None:
    def check(vibration: str) -> list[Finding]:
        files = {"a0": {"log": "a0.csv", "vibration": vibration}}
        hashes = {"a0": {"log": "beef", "vibration": "beef"}}
        found = twins(Twin("spring", "a0", "log", "a0.csv"), Twin("spring", "a0", "vibration", vibration))
        return check_twice(together(auks(1), hashes=hashes, files=files, twins=found))

    assert check("a0.csv") == []
    (finding,) = check("a0 vib.csv")
    assert (finding.severity, finding.channel) == ("warning", "vibration")


def test_the_same_numbers_in_another_file_are_the_same_recording() -> None:
    runs = auks()
    copy = replace(runs[0], run="c", design="Tern", density=1.1, mounting="m9")
    (finding,) = check_twice(together([*runs, copy]))
    assert (finding.run, finding.severity) == ("c", "fail")
    assert "run a0 in another file" in finding.message
    zeros = {**runs[0].zeros, "thrust": replace(runs[0].zeros["thrust"], scatter=0.0101)}
    assert check_twice(together([*runs, replace(copy, zeros=zeros)])) == []


def test_runs_that_could_not_be_reduced_are_not_each_others_copies() -> None:
    hollow = [replace(one, curves={}, zeros={}) for one in auks()]
    assert check_twice(together(hollow)) == []


def levels(*values: float, after: bool = True) -> list[ReducedRun]:
    random = np.random.default_rng(3)
    runs = []
    for k, value in enumerate(values):
        level = value + 0.02 * float(random.standard_normal())
        zeros = {"thrust": zero("thrust", level, level if after else None)}
        runs.append(member(f"r{k}", zeros=zeros, date=f"2026-03-01T{10 + k}:00"))
    return runs


GREATEST = KT * DENSITY0 * HIGH**2


def test_a_zero_that_stands_apart_in_one_run_is_told_there_alone() -> None:
    (finding,) = check_zeros(together(levels(0.0, 0.0, 0.0, 0.0, 2.0, 0.0, 0.0, 0.0)))
    assert (finding.run, finding.code, finding.severity) == ("r4", "zero-moved", "note")
    assert float(finding.message.split("stands ")[1].split(" gf")[0]) == pytest.approx(2.0 / 0.00980665, rel=0.03)


def test_a_jump_that_stays_is_told_at_the_first_run_behind_it_by_date() -> None:
    runs = levels(0.0, 0.0, 0.0, 0.0, 2.0, 2.0, 2.0, 2.0)
    (finding,) = check_zeros(together(runs[::-1]))
    assert (finding.run, finding.code) == ("r4", "zero-moved")
    assert "between run r3 and run r4" in finding.message


def test_a_jump_that_hardly_stands_out_as_a_step_is_told_by_the_levels_on_its_two_sides() -> None:
    random = np.random.default_rng(1)
    scattered = 0.15 * random.standard_normal(12)
    jumped = scattered + np.where(np.arange(12) < 6, 0.0, 1.2)
    assert np.abs(stands_apart(np.diff(jumped), fewest=6)).max() < 1.0
    (finding,) = check_zeros(together(levels(*jumped)))
    assert finding.run == "r6"
    assert check_zeros(together(levels(*scattered))) == []


def test_zeros_that_scatter_or_walk_together_and_moves_too_small_to_matter_are_none() -> None:
    random = np.random.default_rng(4)
    assert check_zeros(together(levels(*random.standard_normal(12)))) == []
    assert check_zeros(together(levels(*np.linspace(0.0, 3.0, 12)))) == []
    small = 0.015 * GREATEST
    assert check_zeros(together(levels(0.0, 0.0, 0.0, 0.0, small, 0.0, 0.0, 0.0, 0.0, 0.0))) == []
    assert check_zeros(together(levels(0.0, 0.0, 2.0))) == []


def test_a_zero_read_on_one_side_makes_the_move_a_warning() -> None:
    (finding,) = check_zeros(together(levels(0.0, 0.0, 0.0, 0.0, 2.0, 0.0, 0.0, 0.0, after=False)))
    assert finding.severity == "warning"


def test_a_load_noisier_at_rest_than_in_the_other_runs_is_told_by_how_much() -> None:
    (finding,) = check_noise(together([*auks(7), member("loud", scatter=0.04)]))
    assert (finding.run, finding.code, finding.channel) == ("loud", "noise-above-baseline", "thrust")
    assert float(finding.message.split("thrust is ")[1].split(" times")[0]) == pytest.approx(4.0, rel=0.1)
    assert "motor off" in finding.message


def test_noise_under_power_is_held_against_the_design_s_own_runs_as_well() -> None:
    loud = member("loud", noise=0.2)
    found = check_noise(together([*auks(7), loud]))
    assert {finding.run for finding in found} == {"loud"}
    assert {finding.channel for finding in found} == {"thrust", "torque"}
    assert all("under power" in finding.message for finding in found)
    other = replace(loud, design="Tern")  # blades that flutter are no fault of the bench
    assert check_noise(together([*auks(7), other])) == []
    fluttering = [member(f"t{k}", noise=0.2, design="Tern") for k in range(3)]
    assert check_noise(together([*auks(7), *fluttering])) == []


def test_a_curve_that_readings_do_not_follow_is_no_noise() -> None:
    loud = member("loud", noise=0.2)
    astray = {name: replace(one, correlation=30.0) for name, one in loud.curves.items()}
    assert check_noise(together([*auks(7), replace(loud, curves=astray)])) == []
    found = check_noise(together([*auks(7), replace(loud, inertia_wanted=True)]))
    assert [finding.channel for finding in found] == ["thrust"]


def test_half_as_noisy_again_is_left_to_the_uncertainty() -> None:
    assert check_noise(together([*auks(7), member("loud", noise=0.09, scatter=0.018)])) == []
    assert check_noise(together([*auks(3), member("loud", noise=0.9)])) == []
