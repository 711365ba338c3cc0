"""Means of many conditions in one pass: each as if it were alone, and as the one-condition arithmetic has it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

import made_runs
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Result
from isothrust.reduction.figures import RunContext
from isothrust.reduction.pooling import CampaignRuns, Question, figures_asked, pool_campaign, results_at

DESIGNS = ("Auk", "Gull", "Tern", "Skua")
SPEEDS = (300.0, 600.0, 900.0, 1200.0, 1500.0, 1650.0, 1900.0)
"""[rad/s] The last is beyond every run, the one before beyond the short ones."""


def campaign(seed: int) -> CampaignRuns:
    """Four designs of one to three samples and mountings; one scatters ten times as much; some runs are short."""
    random = np.random.default_rng(seed)
    runs: list[ReducedRun] = []
    for design in DESIGNS:
        scatter = 0.03 if design == "Skua" else 0.003
        for sample in range(1 + int(random.integers(3))):
            for mounting in range(1 + int(random.integers(3))):
                bent = 1.0 + scatter * random.normal(size=2)
                for repeat in range(1 + int(random.integers(2))):
                    curves = made_runs.standard_curves(noise=0.002, scale=float(bent[0]))
                    curves["torque"] = replace(curves["torque"], coefficients=bent[1] * curves["torque"].coefficients)
                    if random.random() < 0.3:
                        curves = {name: replace(one, high=1600.0) for name, one in curves.items()}
                    influences = (
                        made_runs.scale_influence("thrust", curves, 0.004),
                        made_runs.scale_influence("torque", curves, 0.006),
                    )
                    name = f"{design}{sample}{mounting}{repeat}"
                    runs.append(
                        made_runs.run(
                            name,
                            design=design,
                            sample=str(sample),
                            mounting=f"m{mounting}",
                            curves=curves,
                            influences=influences,
                        )
                    )
    contexts = {run.run: RunContext(made_runs.DIAMETER) for run in runs}
    return CampaignRuns("spring", tuple(runs), contexts=contexts)


def near(value: object) -> object:
    return None if value is None else pytest.approx(value, rel=1e-9)


def same(found: Sequence[Result], expected: Sequence[Result]) -> None:
    assert len(found) == len(expected)
    for one, other in zip(found, expected, strict=True):
        for name in ("measurand", "condition", "design", "sample", "runs", "flags", "absent", "method_version"):
            assert getattr(one, name) == getattr(other, name)
        numbers = ("value", "standard_uncertainty", "degrees_of_freedom")
        assert [getattr(one, name) for name in numbers] == [near(getattr(other, name)) for name in numbers]
        for name in ("interval", "interval_of_design", "interval_as_sold"):
            assert getattr(one, name) == near(getattr(other, name))
        lines, others = ({line.key: line for line in result.budget} for result in (one, other))
        assert lines.keys() == others.keys()
        for key, line in lines.items():
            assert (line.source, line.scope) == (others[key].source, others[key].scope)
            assert line.contribution == pytest.approx(others[key].contribution, rel=1e-9, abs=1e-15)


def question(measurand: str, per: str, speeds: tuple[float, ...] = SPEEDS) -> Question:
    return Question(measurand, "speed", speeds, DESIGNS, per)  # type: ignore[arg-type]


@pytest.mark.parametrize("per", ["design", "sample", "run"])
@pytest.mark.parametrize("seed", range(3))
def test_many_conditions_at_once_give_what_each_gives_alone(seed: int, per: str) -> None:
    runs = campaign(seed)
    together = pool_campaign(runs, [question("figure-of-merit", per)])
    alone = [one for speed in SPEEDS for one in pool_campaign(runs, [question("figure-of-merit", per, (speed,))])]
    same(together, alone)


@pytest.mark.parametrize("per", ["design", "sample", "run"])
@pytest.mark.parametrize("seed", range(3))
def test_one_pass_gives_what_is_explained_condition_by_condition(seed: int, per: str) -> None:
    runs = campaign(seed)
    asked = question("shaft-power", per)
    explained = [one for found in figures_asked(runs, asked) for one in results_at(runs, asked, found)]
    same(pool_campaign(runs, [asked]), explained)


def test_a_run_without_a_figure_at_a_condition_does_not_count_there() -> None:
    runs = campaign(2)
    short = {run.run for run in runs.runs if run.curves["thrust"].high == 1600.0}
    assert short
    results = pool_campaign(runs, [question("thrust-coefficient", "design", (1500.0, 1650.0))])
    at_1500, at_1650 = (
        {name for one in results if one.condition and one.condition.value == speed for name in one.runs}
        for speed in (1500.0, 1650.0)
    )
    assert at_1500 == {run.run for run in runs.runs}
    assert at_1650 - short == at_1500 - short
    assert all(one.value is None or not short & set(one.runs) for one in results if one.condition.value == 1650.0)  # type: ignore[union-attr]


def test_beyond_every_run_each_design_says_why() -> None:
    results = pool_campaign(campaign(1), [question("thrust", "design", (1900.0,))])
    assert [one.value for one in results] == [None] * len(DESIGNS)
    assert all("was measured from" in (one.absent or "") for one in results)
