"""Lags: what transients tell, what two legs tell, and what one leg must not pretend to tell."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.reduced import Estimate
from isothrust.reduction import reduce_run
from isothrust.reduction.lagging import lag_from_transients, lag_unknown
from isothrust.science.alignment import DelayFit
from support.simulated import job_of, recording_of
from unit.reduction.bench import changed, only_while, recorded, reduced, simulated, without


def test_a_delay_of_transients_carries_sampling_and_the_unknown_shape_of_the_filter() -> None:
    found = lag_from_transients(DelayFit(0.020, 5e-4, 1e-3), 0.001, origin="own transients")
    assert found is not None
    assert found.value == 0.020
    assert found.uncertainty == pytest.approx(np.sqrt(5e-4**2 + 3e-4**2 + 1e-3**2))


@pytest.mark.parametrize(
    "fit",
    [
        DelayFit(0.0, np.inf, np.nan),
        DelayFit(0.02, 0.02, 1e-3),
        DelayFit(0.5, 1e-3, 1e-3),
        DelayFit(0.02, 1e-3, 1e-3, share=0.2),
    ],
)
def test_what_transients_do_not_fix_stays_unknown(fit: DelayFit) -> None:
    assert lag_from_transients(fit, 0.001, origin="own transients") is None


def test_an_unknown_lag_is_named_where_it_matters_and_nothing_where_each_row_is_settled() -> None:
    lag, (finding,) = lag_unknown("thrust", np.ones(5))
    assert (lag.value, lag.uncertainty) == (0.0, 0.02)
    assert finding.code == "lag-unknown"
    lag, findings = lag_unknown("thrust", np.zeros(5))
    assert (lag.uncertainty, findings) == (0.0, ())


def test_a_leg_up_alone_tells_no_lag() -> None:
    # DESIGN section 5: the up leg alone cannot tell lag from the slope of CT
    recording, job = recorded("ramp")
    run = reduce_run(
        only_while(recording, 0.0, 12.0), replace(job, inertia=Estimate(1.7e-5, 1e-7, 10.0, "another run"))
    )
    for channel in ("thrust", "torque"):
        assert run.lags[channel].origin == "not known"
        assert abs(run.lags[channel].value - simulated("ramp").truth.lags[channel]) < 2 * run.lags[channel].uncertainty


@pytest.mark.parametrize("channel", ["thrust", "torque"])
@pytest.mark.parametrize("late", [-0.008, 0.010])
def test_a_lag_put_into_a_log_is_found_again(channel: str, late: float) -> None:
    for kind in ("ramp", "up-down", "steps"):
        recording, job = recorded(kind)
        shifted = changed(recording, channel, lambda t, v: np.interp(t - late, t, v))
        found, before = reduce_run(shifted, job).lags[channel], reduced(kind).lags[channel]
        assert found.value - before.value == pytest.approx(late, abs=0.002), kind


def test_a_long_dead_time_of_the_torque_cell_leaves_the_inertia_alone() -> None:
    recording, job = recorded("steps")
    plain = reduced("steps")
    found = reduce_run(changed(recording, "torque", lambda t, v: np.interp(t - 0.020, t, v)), job)
    assert found.lags["torque"].value - plain.lags["torque"].value == pytest.approx(0.020, abs=0.001)
    assert found.inertia is not None
    assert plain.inertia is not None
    assert found.inertia.value == pytest.approx(plain.inertia.value, rel=0.005)  # left in, it would be 5 to 8 % off


def test_a_lag_put_into_a_log_hardly_moves_its_coefficients() -> None:
    recording, job = recorded("ramp")
    late = reduce_run(changed(recording, "thrust", lambda t, v: np.interp(t - 0.02, t, v)), job)
    plain = reduced("ramp")
    moved = late.curves["thrust"].coefficients / plain.curves["thrust"].coefficients - 1.0
    assert np.abs(moved[6:]).max() < 0.004  # uncorrected, 20 ms would be 1-2 % at middle speed


def test_a_log_without_speed_has_no_lags_to_find() -> None:
    recording, job = recorded("ramp")
    run = reduce_run(without(recording, "speed"), job)
    assert set(run.lags) == {"electrical", "throttle"}


def test_thinned_logs_tell_their_lags_less_well_but_rightly() -> None:
    for kind in ("ramp", "steps"):
        thin = simulated(kind).thinned(10)
        run = reduce_run(recording_of(thin), job_of(thin.plan))
        for channel in ("thrust", "torque"):
            found = run.lags[channel]
            assert abs(found.value - thin.truth.lags[channel]) < 3.0 * found.uncertainty
            assert found.uncertainty > reduced(kind).lags[channel].uncertainty
