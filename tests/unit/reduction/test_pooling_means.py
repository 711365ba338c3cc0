"""Means of many conditions in one pass: each as if it were alone, and as matrices and plain sums have it."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import stdtrit

import made_runs
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Result
from isothrust.reduction.figures import RunContext
from isothrust.reduction.pooling import (
    AtCondition,
    CampaignRuns,
    Question,
    figures_asked,
    parts_of,
    pool_campaign,
    results_at,
)
from isothrust.reduction.pooling_scatter import RunFigure

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


Key = tuple[str, str]
"""What an error is, and what its size rests on."""


class PlainMean:
    """The mean of some runs of one design at one condition, by a covariance matrix and sums in plain loops."""

    def __init__(self, figures: Sequence[RunFigure], found: AtCondition) -> None:
        values = np.array([item.value for item in figures])
        labels = [(f"{item.run.design}/{item.run.sample}", f"/{item.run.mounting}") for item in figures]
        mountings, samples = ["".join(label) for label in labels], [sample for sample, _ in labels]
        scatter = found.scatters.at(figures[0].run.design, 0)
        self.sources = {"mounting": scatter.mounting.source, "sample": scatter.sample.source}
        self.sample_known = scatter.sample.relative is not None
        typical = abs(values.mean())
        mounting_sd, self.sample_sd = ((one.relative or 0.0) * typical for one in (scatter.mounting, scatter.sample))
        # Generalised least squares (Searle, Casella and McCulloch, Variance Components, 1992, chapter 3).
        own = [sum(line.contribution**2 for line in item.figure.budget if line.scope == "run") for item in figures]
        same_mounting, same_sample = (np.equal.outer(of, of) for of in (np.array(mountings), np.array(samples)))
        inverse = np.linalg.inv(np.diag(own) + mounting_sd**2 * same_mounting + self.sample_sd**2 * same_sample)
        self.weights = inverse.sum(axis=0) / inverse.sum()
        self.value = float(self.weights @ values)
        self.effects: dict[Key, float] = defaultdict(float)
        self.freedom: dict[str, float] = defaultdict(lambda: math.inf)
        for weight, item in zip(self.weights, figures, strict=True):
            for line in item.figure.budget:
                self.add(line.key, line.key, weight * line.contribution, line.degrees_of_freedom)
        for mounting in mountings:
            share = sum(w for w, one in zip(self.weights, mountings, strict=True) if one == mounting)
            self.effects[f"mounting spring/{mounting}", "mountings"] = mounting_sd * share
        self.freedom["mountings"], self.freedom["samples"] = (
            one.degrees_of_freedom for one in (scatter.mounting, scatter.sample)
        )
        self.sample_shares = {
            name: sum(w for w, one in zip(self.weights, samples, strict=True) if one == name) for name in samples
        }
        even = 1.0 / len(self.sample_shares)
        self.tested = {**self.effects, **self.of_samples(even)}
        self.of_design = {**self.effects, **self.of_samples(0.0)}
        self.as_sold = {**self.of_design, ("the next sample", "samples"): self.sample_sd}

    def add(self, key: str, estimate: str, effect: float, freedom: float) -> None:
        """Add a line: JCGM 100:2008, 5.2.2, contributions of one error add with their signs."""
        self.effects[key, estimate] += effect
        if effect:
            self.freedom[estimate] = min(self.freedom[estimate], freedom)

    def of_samples(self, even: float) -> dict[Key, float]:
        """Return what each sample adds, its weight less an even one."""
        shares = self.sample_shares.items()
        return {(f"sample {name}", "samples"): self.sample_sd * (share - even) for name, share in shares}

    def spread(self, effects: dict[Key, float]) -> tuple[float, float]:
        """Return u and effective degrees of freedom: equations (10) and (G.2b), one term an estimate."""
        terms: dict[str, float] = defaultdict(float)
        for (_, estimate), effect in effects.items():
            terms[estimate] += effect**2
        variance = sum(terms.values())
        penalty = sum(term**2 / self.freedom[estimate] for estimate, term in terms.items() if term)
        return math.sqrt(variance), variance**2 / penalty if penalty else math.inf

    def interval(self, effects: dict[Key, float]) -> tuple[float, float]:
        """Return the 95 % interval."""
        u, freedom = self.spread(effects)
        half = float(stdtrit(freedom, 0.975)) * u
        return self.value - half, self.value + half


def follows(result: Result, plain: PlainMean) -> None:
    u, freedom = plain.spread(plain.tested)
    assert (result.value, result.standard_uncertainty) == (near(plain.value), near(u))
    assert result.degrees_of_freedom == pytest.approx(freedom, rel=1e-8)
    assert result.interval == near(plain.interval(plain.tested))
    wider = [result.interval_of_design, result.interval_as_sold]
    expected = [plain.interval(plain.of_design), plain.interval(plain.as_sold)]
    assert wider == ([near(one) for one in expected] if plain.sample_known else [None, None])
    found = {line.key: line.contribution for line in result.budget}
    for line in (*result.budget, *result.sample_contributions):
        assert line.scope not in plain.sources or line.source == plain.sources[line.scope]
    least = 1e-9 * u
    assert {key for key, effect in found.items() if abs(effect) > least} == {
        key for (key, _), effect in plain.tested.items() if abs(effect) > least
    }
    for (key, _), effect in plain.tested.items():
        assert found.get(key, 0.0) == pytest.approx(effect, rel=1e-7, abs=least)


@pytest.mark.parametrize("per", ["design", "sample", "run"])
@pytest.mark.parametrize(("seed", "measurand"), [(0, "shaft-power"), (1, "figure-of-merit"), (5, "figure-of-merit")])
def test_one_pass_gives_what_plain_loops_give(seed: int, measurand: str, per: str) -> None:
    runs = campaign(seed)
    asked = question(measurand, per)
    results = iter(pool_campaign(runs, [asked]))
    held = 0
    for found in figures_asked(runs, asked):
        for design in DESIGNS:
            for members in parts_of(found, design, asked.per):
                result, there = next(results), found.there(members)
                assert (result.design, result.value is None) == (design, not there)
                if there:
                    assert result.runs == tuple(one.run.run for one in there)
                    follows(result, PlainMean(there, found))
                    held += 1
    assert next(results, None) is None
    assert held > len(DESIGNS) * (len(SPEEDS) - 2)


@pytest.mark.parametrize("seed", [1, 5])
def test_a_design_may_keep_its_own_scatter_at_some_conditions_and_share_it_at_others(seed: int) -> None:
    """Without this the test above would not meet both kinds of scatter in one table."""
    results = pool_campaign(campaign(seed), [question("figure-of-merit", "design", SPEEDS[:-1])])
    own = [
        "mounting scatter of Skua" in {line.source for line in one.budget} for one in results if one.design == "Skua"
    ]
    assert any(own)
    assert not all(own)


@pytest.mark.parametrize("per", ["design", "sample", "run"])
def test_an_explanation_is_of_the_very_figures_that_results_show(per: str) -> None:
    runs, asked = campaign(2), question("shaft-power", per)
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
