"""An oracle who knows every drawn error gets the truth back from the log: readings and truth belong together."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.virtual import (
    Drive,
    Factors,
    RigErrors,
    RunPlan,
    Stand,
    TrueAir,
    VirtualRun,
    Zero,
    holds,
    low_noise_sensors,
    ramp,
    simulate,
)
from unit.virtual.motors import five_inch, seven_inch

ERRORS = RigErrors(speed=4e-4, thrust=-0.006, torque=0.009, voltage=0.002, current=-0.007)
THIN = TrueAir(temperature=301.0, pressure=97_000.0, humidity=0.6)


@pytest.fixture(scope="module")
def runs() -> tuple[VirtualRun, VirtualRun]:
    """A ramp and holds with errors, zeros and factors, next to no noise, in thin air."""
    stand = Stand(sensors=low_noise_sensors(), obstruction=15e-4)
    plan = RunPlan(
        "ramp",
        seven_inch(),
        drive=Drive(kv=1100.0, bend=0.3),
        stand=stand,
        schedule=ramp(rest=0.5, rise=6.0, end=0.5),
        air=THIN,
        sample_factors=Factors(1.012, 1.02),
        mounting_factors=Factors(0.996, 1.003),
        errors=ERRORS,
        thrust_zero=Zero(start=0.05, drift=0.01, running=0.02),
        torque_zero=Zero(start=-1e-3, drift=3e-4, creep=2e-4),
    )
    held = RunPlan(
        "holds",
        five_inch(),
        stand=stand,
        schedule=holds((0.4, 0.8), stay=1.2, rest=0.5, end=0.3),
        air=THIN,
        errors=ERRORS,
        torque_zero=Zero(start=2e-3),
    )
    made = simulate([plan, held], 5)
    return made[0], made[1]


def mended(run: VirtualRun, channel: str) -> np.ndarray:
    """A channel without its zero and scale error, moved to the tachometer's clock."""
    time, values = run.columns["time"], run.columns[channel]
    values = (values - run.truth.zeros.get(channel, 0.0)) / (1 + run.plan.errors.scale(channel))
    return np.interp(time, time - run.truth.lags[channel], values)


def test_a_ramp_gives_thrust_and_torque_at_every_speed(runs: tuple[VirtualRun, VirtualRun]) -> None:
    run = runs[0]
    time, omega = run.columns["time"], mended(run, "speed")
    rising = (time > 2.0) & (time < 6.2)
    smooth = np.polynomial.Polynomial.fit(time[rising], omega[rising], 9)
    rate = smooth.deriv()(time[rising])
    torque = mended(run, "torque")[rising] - run.truth.inertia * rate
    thrust = mended(run, "thrust")[rising] / run.plan.stand.slipstream_factor(0.1778)
    truth = run.truth.mounting
    np.testing.assert_allclose(thrust, truth.thrust(omega[rising], THIN), rtol=1.5e-3, atol=2e-3)
    np.testing.assert_allclose(torque, truth.torque(omega[rising], THIN), rtol=2e-3, atol=1e-4)
    # On average far closer: what is left of each row is noise and the curvature over the filters.
    assert np.mean(thrust / truth.thrust(omega[rising], THIN)) == pytest.approx(1.0, abs=2e-4)
    assert np.mean(torque / truth.torque(omega[rising], THIN)) == pytest.approx(1.0, abs=3e-4)


def test_without_the_lags_or_the_inertial_torque_the_oracle_would_be_wrong(
    runs: tuple[VirtualRun, VirtualRun],
) -> None:
    run = runs[0]
    time, omega = run.columns["time"], mended(run, "speed")
    early = (time > 2.0) & (time < 3.0)
    truth = run.truth.mounting
    late = (run.columns["thrust"] - run.truth.zeros["thrust"]) / (1 + ERRORS.thrust)
    late = late / run.plan.stand.slipstream_factor(0.1778)
    assert np.mean(late[early] / truth.thrust(omega[early], THIN)) < 0.985
    assert np.mean(mended(run, "torque")[early] / truth.torque(omega[early], THIN)) > 1.05


def test_the_steady_electrical_power_is_that_of_the_settled_holds(runs: tuple[VirtualRun, VirtualRun]) -> None:
    run = runs[1]
    time = run.columns["time"]
    for start in (0.5 + 0.15 + 0.9, 0.5 + 0.3 + 1.2 + 0.9):
        settled = (time > start) & (time < start + 0.25)
        omega = mended(run, "speed")[settled].mean()
        power = (mended(run, "voltage") * mended(run, "current"))[settled].mean()
        state = run.truth.steady_state(omega, THIN)
        assert power == pytest.approx(float(state.power), rel=2e-3)
        assert run.columns["throttle"][settled].mean() == pytest.approx(float(state.throttle), rel=1e-3)
        thrust = mended(run, "thrust")[settled].mean() / run.plan.stand.slipstream_factor(0.127)
        assert float(run.truth.electrical_power(thrust, THIN)) == pytest.approx(power, rel=3e-3)


def test_truth_of_the_sample_leaves_the_mounting_out_and_that_of_the_design_both(
    runs: tuple[VirtualRun, VirtualRun],
) -> None:
    truth = runs[0].truth
    by_design = truth.design.thrust(1500.0)
    assert truth.sample.thrust(1500.0) / by_design == pytest.approx(1.012)
    assert truth.mounting.thrust(1500.0) / by_design == pytest.approx(1.012 * 0.996)
    assert truth.mounting.power_coefficient(1500.0) / truth.design.power_coefficient(1500.0) == pytest.approx(
        1.02 * 1.003
    )
