"""One run gives one set of figures, whatever form its log has: six dialects, and a tenth of the rate."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.ingest import read_recording
from isothrust.records.reduced import Figure, ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.figures import evaluate_figure
from isothrust.reduction.figures_absent import RunContext
from isothrust.virtual import (
    DIALECTS,
    Dialect,
    Setup,
    VirtualRun,
    campaign,
    holds,
    ramp,
    ramp_up_down,
    rig_toml,
    simulate,
    with_conditions,
)
from support.bench_books import DESIGNS
from support.simulated import job_of, recording_of

RPM = np.pi / 30.0
AT_SPEED = ("thrust-coefficient", "power-coefficient", "thrust", "torque", "shaft-power", "figure-of-merit")
AT_THRUST = ("speed", "shaft-efficiency", "electrical-efficiency", "current", "throttle")
ASKED = (("thrust-coefficient", "speed"), ("power-coefficient", "speed"), ("shaft-efficiency", "thrust"))
"""What is compared between rates: the coefficients at 14 000 rpm, shaft efficiency at 6 N."""
NOISE = "noise left by the fit"


def figure(run: ReducedRun, measurand: str, quantity: str, diameter: float) -> Figure:
    condition = np.array([14_000 * RPM if quantity == "speed" else 6.0])
    series = evaluate_figure(run, measurand, quantity, condition, RunContext(diameter=diameter))  # type: ignore[arg-type]
    return series.at(0)


def figures(run: ReducedRun, diameter: float) -> dict[str, float | None]:
    out = {name: figure(run, name, "speed", diameter).value for name in AT_SPEED}
    out |= {name: figure(run, name, "thrust", diameter).value for name in AT_THRUST}
    out |= {one.measurand: one.value for one in run.figures if one.absent is None}
    return out


@pytest.fixture(scope="module")
def one_run() -> VirtualRun:
    (plan,) = campaign(DESIGNS[:1], seed=5, samples=1, mountings=1, schedules=(ramp(rise=6.0),), setup=Setup())
    return simulate([plan], 5)[0]


def through_text(run: VirtualRun, dialect: Dialect, folder: Path) -> ReducedRun:
    rig, log = folder / "stand.toml", folder / f"log{dialect.suffix}"
    rig.write_text(rig_toml(run.plan.stand, run.plan.drive, dialect), encoding="utf-8")
    log.write_bytes(run.log_bytes(dialect))
    job = replace(job_of(run.plan), rig=parse_rig(rig)[0], files={"log": str(log)})
    return reduce_run(read_recording(run.plan.name, job.files, job.rig), job)


def test_there_are_dialects_enough() -> None:
    assert len({dialect.name for dialect in DIALECTS}) >= 5
    assert len({dialect.clock for dialect in DIALECTS}) == 4


@pytest.mark.parametrize("dialect", DIALECTS, ids=lambda dialect: dialect.name)
def test_the_same_run_in_any_dialect_gives_the_same_figures(
    one_run: VirtualRun, dialect: Dialect, tmp_path: Path
) -> None:
    diameter = one_run.plan.propeller.diameter
    expected = figures(reduce_run(recording_of(one_run), job_of(one_run.plan)), diameter)
    found = figures(through_text(one_run, dialect, tmp_path), diameter)
    assert all(value is not None for value in expected.values())
    # Two forces to 5 digits of a newton on arms of 32 mm write torque to 3e-7 N m: 4e-6 of it at 14 000 rpm.
    digits = 2e-5 if dialect.name == "micro" else 1e-6
    for name, value in expected.items():
        assert found[name] == pytest.approx(value, rel=digits), name


@pytest.mark.parametrize("dialect", DIALECTS, ids=lambda dialect: dialect.name)
def test_the_same_run_in_any_dialect_has_the_same_findings(
    one_run: VirtualRun, dialect: Dialect, tmp_path: Path
) -> None:
    expected = reduce_run(recording_of(one_run), job_of(one_run.plan))
    found = through_text(one_run, dialect, tmp_path)
    assert [finding.code for finding in found.findings] == [finding.code for finding in expected.findings]
    assert set(found.flags) == set(expected.flags)


@dataclass(frozen=True)
class Pair:
    """A figure of a run at its full rate and of the same run at a tenth of it."""

    full: Figure
    thin: Figure

    @property
    def difference(self) -> float:
        assert self.full.value is not None
        assert self.thin.value is not None
        return self.thin.value - self.full.value

    @property
    def uncertainty(self) -> float:
        return float(np.sqrt(sum(entry.contribution**2 for entry in self.full.budget)))

    @property
    def noise_ratio(self) -> float:
        full, thin = (
            np.sqrt(sum(entry.contribution**2 for entry in one.budget if entry.source == NOISE))
            for one in (self.full, self.thin)
        )
        return float(thin / full)


def pairs(runs: list[VirtualRun]) -> dict[str, list[Pair]]:
    out: dict[str, list[Pair]] = {name: [] for name, _ in ASKED}
    for run in runs:
        job, diameter = job_of(run.plan), run.plan.propeller.diameter
        full, thin = reduce_run(recording_of(run), job), reduce_run(recording_of(run.thinned(10)), job)
        for name, quantity in ASKED:
            pair = Pair(figure(full, name, quantity, diameter), figure(thin, name, quantity, diameter))
            if pair.full.value is not None and pair.thin.value is not None:
                out[name].append(pair)
    return out


def outside(found: list[Pair]) -> int:
    return sum(abs(pair.difference) > pair.uncertainty for pair in found)


@pytest.mark.parametrize(
    ("conditions", "allowed"),
    [
        ((), 0),
        (("coloured-noise",), 0),
        (("aliased-orders",), 0),
        # Noise is all that u is made of here, and the rates do not share all of it: one in twenty may stand apart.
        (("run-noise",), 1),
    ],
)
def test_thinned_to_100_hz_figures_stay_within_u_and_noise_within_a_fifth(
    conditions: tuple[str, ...], allowed: int
) -> None:
    setup = with_conditions(Setup(), *conditions)
    plans = campaign(DESIGNS, seed=7, samples=2, mountings=3, schedules=(ramp(rise=6.0),), setup=setup)
    runs = simulate(plans, 7)
    assert len(runs) == 18
    for name, found in pairs(runs).items():
        assert len(found) >= 17, name
        assert outside(found) <= allowed, name
        # The autocorrelation is honoured: ten times as many samples behind one filter know hardly more.
        assert np.mean([pair.noise_ratio for pair in found]) == pytest.approx(1.0, abs=0.2), name


@pytest.mark.parametrize(
    "schedule", [holds([0.3, 0.45, 0.6, 0.8, 1.0], stay=1.5), ramp_up_down()], ids=["holds", "legs"]
)
def test_other_schedules_thinned_to_100_hz_give_the_figures_within_u(schedule: object) -> None:
    plans = campaign(DESIGNS, seed=11, samples=2, mountings=1, schedules=(schedule,), setup=Setup())  # type: ignore[arg-type]
    for name, found in pairs(simulate(plans, 11)).items():
        assert len(found) == 6, name
        assert outside(found) == 0, name
        assert np.mean([pair.noise_ratio for pair in found]) == pytest.approx(1.0, abs=0.35), name
