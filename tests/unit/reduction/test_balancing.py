"""Balances of simulated rotors: with a mark, with three angles, turned on the hub, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.errors import UsageError
from isothrust.records.balance import Trial, UnbalancePart
from isothrust.reduction import reduce_run
from isothrust.reduction.balancing import BalanceRun, find_balance
from isothrust.reduction.figures import RunContext, evaluate_figure
from isothrust.virtual import Unbalance, simulate
from support.shaken import METER, shaken_plan
from support.simulated import job_of, recording_of

OWN = Unbalance(blade=1.0e-6 * np.exp(0.7j), hub=0.5e-6 * np.exp(2.5j))
RADIUS = 0.02
PUTS = tuple(1.1e-6 * np.exp(1j * np.radians(angle)) for angle in (25.0, 145.0, 265.0))
METERED = replace(METER, mark=True)


def trial_of(put: complex) -> Trial:
    return Trial(abs(put) / RADIUS, RADIUS, float(np.angle(put)))


@pytest.fixture(scope="module")
def runs() -> dict[str, BalanceRun]:
    """Reduced runs: as it is, three trials, a small one, turned; each marked and unmarked ('bare …')."""
    small = 0.1 * abs(OWN.whole)
    changes: dict[str, Unbalance] = {
        "own": OWN,
        **{f"trial{k}": replace(OWN, trial=put) for k, put in enumerate(PUTS)},
        "small": replace(OWN, trial=small),
        "turned": replace(OWN, turned=True),
    }
    plans = [replace(shaken_plan(METERED), name=name, unbalance=each) for name, each in changes.items()]
    out: dict[str, BalanceRun] = {}
    for name, run in zip(changes, simulate(plans, 5), strict=True):
        job = job_of(run.plan)
        mounting = "2" if name == "turned" else "1"
        put = changes[name].trial
        trial = trial_of(put) if put else None
        job = replace(job, run=replace(job.run, mounting=mounting, trial=trial))
        turned = name == "turned"
        out[name] = BalanceRun(reduce_run(recording_of(run), job), trial, turned=turned)
        assert run.shaken is not None
        bare = replace(run, shaken=replace(run.shaken, mark=None))
        out[f"bare {name}"] = BalanceRun(reduce_run(recording_of(bare), job), trial, turned=turned)
    return out


def vector(part: UnbalancePart) -> complex:
    return complex(part.size * np.exp(1j * part.angle))


def test_with_a_mark_one_trial_gives_mass_and_angle(runs: dict[str, BalanceRun]) -> None:
    found = find_balance([runs["own"], runs["trial0"]], None)
    assert found.marked
    assert found.mass == pytest.approx(abs(OWN.whole) / RADIUS, rel=0.05)
    off = np.degrees(np.angle(vector(found.correction) / -OWN.whole))
    assert abs(off) < 3.0
    assert found.grade is None
    assert any("mass of all that turns" in note for note in found.notes)


def test_two_trials_agree_and_are_put_together(runs: dict[str, BalanceRun]) -> None:
    found = find_balance([runs["own"], runs["trial0"], runs["trial1"]], None)
    assert len(found.trials) == 2
    assert vector(found.correction) == pytest.approx(-OWN.whole, rel=0.02)


def test_without_a_mark_three_angles_give_mass_and_angle(runs: dict[str, BalanceRun]) -> None:
    chosen = [runs[f"bare {name}"] for name in ("own", "trial0", "trial1", "trial2")]
    found = find_balance(chosen, None)
    assert not found.marked
    assert vector(found.correction) == pytest.approx(-OWN.whole, rel=0.05)


def test_without_a_mark_one_angle_is_refused(runs: dict[str, BalanceRun]) -> None:
    with pytest.raises(UsageError) as refused:
        find_balance([runs["bare own"], runs["bare trial0"]], None)
    assert refused.value.problems[0].code == "balance-trials-missing"


def test_a_trial_that_changes_the_vector_by_a_tenth_is_refused_with_the_mass_to_take(
    runs: dict[str, BalanceRun],
) -> None:
    with pytest.raises(UsageError) as refused:
        find_balance([runs["own"], runs["small"]], None)
    (problem,) = refused.value.problems
    assert problem.code == "trial-too-small"
    assert "10 % of itself" in problem.what
    assert problem.fix is not None
    assert "at the same radius" in problem.fix


def test_turning_the_propeller_tells_it_from_hub_and_motor(runs: dict[str, BalanceRun]) -> None:
    found = find_balance([runs["own"], runs["trial0"], runs["turned"]], None)
    assert found.hub is not None
    assert found.blade is not None
    assert vector(found.hub) == pytest.approx(OWN.hub, rel=0.05)
    assert vector(found.blade) == pytest.approx(OWN.blade, rel=0.05)


def test_grade_is_eccentricity_times_speed(runs: dict[str, BalanceRun]) -> None:
    found = find_balance([runs["own"], runs["trial0"]], 0.040, top=2000.0)
    # 1e3 mm/m times |U|/m times the speed
    assert found.grade == pytest.approx(1e3 * abs(OWN.whole) / 0.040 * 2000.0, rel=0.05)
    assert found.grade_name == "G 100"


def test_runs_without_a_trial_or_without_its_mounting_are_refused(runs: dict[str, BalanceRun]) -> None:
    for chosen in ([runs["own"]], [runs["trial0"], runs["turned"]], [runs["trial0"]]):
        with pytest.raises(UsageError) as refused:
            find_balance(chosen, None)
        assert refused.value.problems[0].code == "balance-runs-missing"


def test_a_run_with_a_trial_mass_gives_no_vibration_of_the_propeller(runs: dict[str, BalanceRun]) -> None:
    figure = evaluate_figure(runs["trial0"].reduced, "vibration", "thrust", np.array([6.0]), RunContext())
    assert figure.absent[0] is not None
    assert "trial mass" in figure.absent[0]
    own = evaluate_figure(runs["own"].reduced, "vibration", "thrust", np.array([6.0]), RunContext())
    assert own.absent[0] is None
