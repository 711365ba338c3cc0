"""Means over mountings and samples, budgets and intervals, against hand calculations."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

import made_runs
from isothrust.records.book import Decision
from isothrust.records.reduced import Contribution, Figure, ReducedRun
from isothrust.records.result import Result
from isothrust.reduction.figures import RunContext
from isothrust.reduction.pooling import CampaignRuns, Question, pool_campaign
from isothrust.reduction.pooling_budget import combined, merged
from isothrust.reduction.pooling_runs import sort_out

PEAK = "peak-thrust"


def peak_run(
    name: str,
    value: float,
    *,
    design: str = "Auk",
    sample: str = "1",
    mounting: str | None = None,
    noise: float = 0.0,
    scale: float = 0.0,
) -> ReducedRun:
    """A run with one figure: its own noise, and a scale error in proportion that all runs share."""
    lines = (
        Contribution("noise", f"run spring/{name} noise", "run", noise, 50.0),
        Contribution("thrust scale", "rig loft thrust scale", "rig", scale * value, math.inf),
    )
    figure = Figure(PEAK, value, tuple(line for line in lines if line.contribution))
    return made_runs.run(name, design=design, sample=sample, mounting=mounting, figures=(figure,), curves={})


def ask(runs: Sequence[ReducedRun], designs: tuple[str, ...] = ("Auk",), per: str = "design") -> list[Result]:
    question = Question(PEAK, None, (), designs, per)  # type: ignore[arg-type]
    return pool_campaign(CampaignRuns("spring", tuple(runs)), [question])


def square(value: float | None) -> float:
    assert value is not None
    return value**2


def test_runs_of_one_mounting_are_weighed_by_their_own_variance() -> None:
    runs = [peak_run("r1", 10.0, mounting="m1", noise=0.1), peak_run("r2", 13.0, mounting="m1", noise=0.2)]
    (result,) = ask(runs)
    # weights 1/0.01 and 1/0.04: 0.8 and 0.2
    assert result.value == pytest.approx(10.6)
    assert result.standard_uncertainty == pytest.approx(math.sqrt((0.8 * 0.1) ** 2 + (0.2 * 0.2) ** 2))
    assert result.runs == ("r1", "r2")


def test_an_error_common_to_all_runs_does_not_shrink_with_their_number() -> None:
    runs = [peak_run(f"r{i}", 10.0, noise=0.1, scale=0.01) for i in range(4)]
    (result,) = ask(runs)
    lines = {line.key: line.contribution for line in result.budget}
    assert lines["rig loft thrust scale"] == pytest.approx(0.1)
    assert sum(c**2 for key, c in lines.items() if key.startswith("run ")) == pytest.approx(0.1**2 / 4)


@pytest.mark.parametrize("per", ["design", "sample", "run"])
def test_a_budget_adds_up_to_the_square_of_the_uncertainty(per: str) -> None:
    rng = np.random.default_rng(3)
    runs = [
        peak_run(
            f"r{d}{s}{m}", 10.0 + 0.1 * rng.standard_normal(), design=d, sample=s, mounting=m, noise=0.01, scale=0.003
        )
        for d in ("Auk", "Gull")
        for s in ("1", "2")
        for m in ("a", "b")
    ]
    for result in ask(runs, ("Auk", "Gull"), per):
        assert square(result.standard_uncertainty) == pytest.approx(sum(line.contribution**2 for line in result.budget))
        assert len({line.key for line in result.budget}) == len(result.budget)
        assert result.interval is not None
        assert result.value == pytest.approx(sum(result.interval) / 2)


def test_components_of_a_balanced_campaign_are_those_of_the_analysis_of_variance() -> None:
    # Two designs of the same mean, two samples each, two mountings each; noise-free figures.
    table = {
        ("Auk", "1"): (101.0, 103.0),
        ("Auk", "2"): (99.0, 97.0),
        ("Gull", "1"): (104.0, 101.0),
        ("Gull", "2"): (97.0, 98.0),
    }
    runs = [
        peak_run(f"{d}{s}{i}", value, design=d, sample=s, mounting=str(i))
        for (d, s), values in table.items()
        for i, value in enumerate(values)
    ]
    auk, gull = ask(runs, ("Auk", "Gull"))
    means = {key: float(np.mean(values)) for key, values in table.items()}
    mounting = float(np.mean([np.var(values, ddof=1) for values in table.values()]))
    between = np.mean([np.var([means[d, "1"], means[d, "2"]], ddof=1) for d in ("Auk", "Gull")])
    sample = float(between) - mounting / 2
    assert sample > 0
    assert auk.value == pytest.approx(100.0)
    assert square(auk.standard_uncertainty) == pytest.approx(mounting / 4)
    assert [line.key for line in auk.budget] == [f"mounting spring/Auk/{s}/{m}" for s in "12" for m in "01"]
    assert sum(line.contribution**2 for line in gull.sample_contributions) == pytest.approx(sample / 2)
    assert [line.key for line in gull.sample_contributions] == ["sample Gull/1", "sample Gull/2"]
    for result in (auk, gull):
        assert result.interval is not None
        assert result.interval_of_design is not None
        assert result.interval_as_sold is not None
        assert result.interval_as_sold[1] > result.interval_of_design[1] > result.interval[1]


def test_a_lone_run_borrows_the_scatter_of_the_others_and_says_so() -> None:
    repeats = [peak_run(f"r{i}", value, design="Gull", mounting=str(i)) for i, value in enumerate((99.0, 100.0, 101.0))]
    lone = peak_run("r9", 50.0, design="Auk")
    (result,) = ask([*repeats, lone])
    assert "repeatability-borrowed" in result.flags
    # 1 % from one mounting to the next, of 50
    assert result.standard_uncertainty == pytest.approx(0.5)
    assert result.degrees_of_freedom == pytest.approx(2.0)
    assert result.interval_of_design is None


def test_without_any_repeat_the_interval_is_called_a_lower_bound() -> None:
    (result,) = ask([peak_run("r1", 50.0, noise=0.2), peak_run("r2", 70.0, design="Gull", noise=0.2)])
    assert "repeatability-unknown" in result.flags
    assert result.standard_uncertainty == pytest.approx(0.2)
    assert result.interval_as_sold is None


def test_a_design_that_scatters_much_more_keeps_its_own_scatter() -> None:
    rng = np.random.default_rng(5)
    runs = [
        peak_run(f"{d}{i}", 100.0 * (1 + sd * rng.standard_normal()), design=d, mounting=str(i))
        for d, sd in [*((f"D{k}", 0.002) for k in range(6)), ("Puffin", 0.05)]
        for i in range(4)
    ]
    wild, calm = ask(runs, ("Puffin", "D0"))
    assert "scatters-more" in wild.flags
    assert "scatters-more" not in calm.flags
    assert wild.standard_uncertainty is not None
    assert calm.standard_uncertainty is not None
    assert wild.standard_uncertainty > 5 * calm.standard_uncertainty


def test_a_design_that_was_not_asked_for_still_teaches_the_campaign_its_scatter() -> None:
    repeats = [peak_run(f"r{i}", 100.0 + i, design="Gull", mounting=str(i)) for i in range(3)]
    (result,) = ask([*repeats, peak_run("r9", 50.0)], ("Auk",))
    assert result.design == "Auk"
    assert "repeatability-unknown" not in result.flags


def test_a_run_that_failed_a_check_is_set_aside_and_said() -> None:
    import dataclasses

    good = peak_run("r1", 10.0, noise=0.1)
    bad = dataclasses.replace(peak_run("r2", 20.0, noise=0.1), findings=(made_runs.failed("r2"),))
    kept, aside, accepted = sort_out([good, bad], ())
    assert [run.run for run in kept] == ["r1"]
    assert aside[0].run == "r2"
    assert "slipped" in aside[0].reason
    assert accepted == frozenset()
    (result,) = pool_campaign(CampaignRuns("spring", kept, aside), [Question(PEAK, None, (), ("Auk",))])
    assert result.value == 10.0
    assert "runs-set-aside" in result.flags


def test_a_decision_accepts_a_failed_run_or_leaves_out_a_good_one() -> None:
    import dataclasses

    good = peak_run("r1", 10.0)
    bad = dataclasses.replace(peak_run("r2", 20.0), findings=(made_runs.failed("r2"),))
    decisions = [
        Decision("r2", "spring", "accept", "looked at the video", "me", "2026-03-02"),
        Decision("r1", "spring", "leave-out", "wrong blade", "me", "2026-03-02"),
    ]
    kept, aside, accepted = sort_out([good, bad], decisions)
    assert [run.run for run in kept] == ["r2"]
    assert aside[0].reason == "left out by me: wrong blade"
    (result,) = pool_campaign(CampaignRuns("spring", kept, aside, accepted), [Question(PEAK, None, (), ("Auk",))])
    assert "fail-accepted" in result.flags


def test_a_design_without_a_run_gives_a_result_with_its_reason() -> None:
    failed = made_runs.run("r2", design="Tern", findings=(made_runs.failed("r2"),))
    kept, aside, _ = sort_out([peak_run("r1", 10.0), failed, made_runs.run("r3", design="Skua", kind="coast")], ())
    campaign = CampaignRuns("spring", kept, aside, missing={"Petrel": "run r7 could not be reduced"})
    results = pool_campaign(campaign, [Question(PEAK, None, (), ("Tern", "Skua", "Petrel", "Dunlin"))])
    assert all(result.value is None for result in results)
    assert [result.absent for result in results] == [
        "run r2 was set aside: the propeller slipped on its hub [rotor-slipped]",
        "it needs a run of kind ramp or holds, and there is only coast",
        "run r7 could not be reduced",
        "no run in campaign spring",
    ]


def test_curves_come_from_ramps_and_holds_only() -> None:
    runs = (made_runs.run("r1"), made_runs.run("r2", kind="steps", curves=made_runs.standard_curves(scale=2.0)))
    contexts = {run.run: RunContext(made_runs.DIAMETER) for run in runs}
    question = Question("thrust", "speed", (1000.0,), ("Auk",))
    (result,) = pool_campaign(CampaignRuns("spring", runs, contexts=contexts), [question])
    assert result.runs == ("r1",)


def test_absent_conditions_stand_beside_measured_ones() -> None:
    runs = (made_runs.run("r1"), made_runs.run("r2"))
    question = Question("shaft-power", "thrust", (5.0, 500.0), ("Auk",))
    near, far = pool_campaign(CampaignRuns("spring", runs), [question])
    assert near.value is not None
    assert far.value is None
    assert far.absent is not None
    assert far.absent.startswith("5.099e+04 gf") or "was not reached" in far.absent


def test_scatter_from_one_estimate_counts_once_in_the_degrees_of_freedom() -> None:
    # Two mountings whose variance rests on one estimate with 4 degrees of freedom: the sum has 4, not 8.
    lines = [
        Contribution("mounting scatter, pooled over the campaign", f"m{i}", "mounting", 1.0, 4.0) for i in range(2)
    ]
    assert combined(lines).degrees_of_freedom == pytest.approx(4.0)
    others = [Contribution("noise", f"n{i}", "run", 1.0, 4.0) for i in range(2)]
    assert combined(others).degrees_of_freedom == pytest.approx(8.0)


def test_equal_keys_add_with_their_signs() -> None:
    lines = [Contribution("zero", "k", "run", 3.0, 10.0), Contribution("zero", "k", "run", -3.0, 5.0)]
    assert merged(lines) == ()


def test_intervals_hold_the_truth_as_often_as_they_say() -> None:
    """Sixty campaigns of six designs, two samples, two mountings: as tested, of the design and as sold."""
    rng = np.random.default_rng(20)
    hits = {"tested": 0, "design": 0, "sold": 0}
    total, squares = 0, 0.0
    for _ in range(60):
        runs, truths = [], {}
        for d in range(6):
            design = f"D{d}"
            mean = 100.0 + 10.0 * d
            samples = mean * (1 + 0.006 * rng.standard_normal(2))
            truths[design] = (samples.mean(), mean, mean * (1 + 0.006 * rng.standard_normal()))
            for s, true in enumerate(samples):
                for m in range(2):
                    mounted = true * (1 + 0.004 * rng.standard_normal())
                    noise = mean * rng.choice([0.001, 0.003])
                    value = mounted + noise * rng.standard_normal()
                    runs.append(
                        peak_run(f"{d}{s}{m}", value, design=design, sample=str(s), mounting=str(m), noise=noise)
                    )
        for result in ask(runs, tuple(truths)):
            tested, mean, sold = truths[result.design]
            assert result.value is not None
            assert result.standard_uncertainty is not None
            total += 1
            squares += ((result.value - tested) / result.standard_uncertainty) ** 2
            for name, interval, truth in (
                ("tested", result.interval, tested),
                ("design", result.interval_of_design, mean),
                ("sold", result.interval_as_sold, sold),
            ):
                assert interval is not None
                hits[name] += interval[0] <= truth <= interval[1]
    assert 0.85 < math.sqrt(squares / total) < 1.15
    # 360 intervals, 6 to a campaign that share their estimates: 95 % to within three standard deviations of about 1.5 %
    for name, count in hits.items():
        assert 0.90 < count / total < 0.99, (name, count / total)
