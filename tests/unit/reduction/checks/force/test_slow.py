"""Slow cells and filters: the mean delay by the area under a fall, and what it does to a run."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import lfilter

from isothrust.records.finding import Finding
from isothrust.records.recording import Recording
from isothrust.reduction.checks.force.slow import check_slow_filter
from unit.reduction.bench import changed, only_while, recorded, without
from unit.reduction.examined import evidence_of


def filtered(recording: Recording, name: str, constant: float) -> Recording:
    """One more first-order filter behind a channel, settled at its first reading."""
    keep = np.exp(-1e-3 / constant)

    def late(_: np.ndarray, values: np.ndarray) -> np.ndarray:
        return np.asarray(lfilter([1.0 - keep], [1.0, -keep], values - values[0])) + values[0]

    return changed(recording, name, late)


def told(kind: str, name: str, constant: float) -> list[Finding]:
    recording, job = recorded(kind)
    return check_slow_filter(evidence_of(filtered(recording, name, constant), job))


@pytest.mark.parametrize(("name", "own"), [("thrust", 0.018), ("torque", 0.012)])
@pytest.mark.parametrize("constant", [0.1, 0.2, 0.4])
def test_the_delay_of_a_ramp_is_that_of_the_filters_together(name: str, own: float, constant: float) -> None:
    """`own` is what the simulated cell is later than its tachometer: delays and filter times of its sensors."""
    (finding,) = told("ramp", name, constant)
    assert (finding.code, finding.channel) == ("filter-slow", name)
    delay = float(finding.message.split("follows ")[1].split(" ms")[0]) / 1e3
    assert delay == pytest.approx(own + constant, abs=0.006 + 0.05 * constant)


def test_a_delay_that_the_run_cannot_correct_sets_it_aside() -> None:
    (slow,) = told("ramp", "thrust", 0.3)
    assert (slow.severity, slow.done) == ("fail", "the run was set aside")
    (mild,) = told("ramp", "thrust", 0.08)
    assert mild.severity == "warning"
    assert "was taken out" in mild.done


def test_legs_tell_a_slow_filter_where_no_cut_does() -> None:
    (finding,) = told("up-down", "thrust", 0.12)
    assert float(finding.message.split("follows ")[1].split(" ms")[0]) == pytest.approx(138.0, abs=10.0)


def test_holds_bear_a_slower_filter_than_ramps() -> None:
    assert told("holds", "thrust", 0.1) == []
    (finding,) = told("holds", "thrust", 0.3)
    assert finding.severity == "warning"


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps", "coast", "quiet"])
def test_good_runs_have_no_slow_filter(kind: str) -> None:
    assert check_slow_filter(evidence_of(*recorded(kind))) == []


def test_a_log_that_ends_with_the_power_on_tells_no_fall() -> None:
    recording, job = recorded("ramp")
    assert check_slow_filter(evidence_of(only_while(recording, 0.0, 12.2), job)) == []
    assert check_slow_filter(evidence_of(only_while(recording, 0.0, 12.4), job)) == []


def test_a_converter_at_its_end_is_not_called_slow() -> None:
    recording, job = recorded("ramp")
    clipped = changed(recording, "thrust", lambda _, values: np.minimum(values, 0.5 * values.max()))
    assert not [f for f in check_slow_filter(evidence_of(clipped, job)) if f.channel == "thrust"]


def test_without_a_channel_nothing_is_said_of_it() -> None:
    recording, job = recorded("ramp")
    slow = filtered(recording, "thrust", 0.3)
    assert check_slow_filter(evidence_of(without(slow, "thrust"), job)) == []
    assert check_slow_filter(evidence_of(without(slow, "speed"), replace(job))) == []
