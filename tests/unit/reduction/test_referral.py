"""Referral to standard air at equal speed: the Reynolds number changes with it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from isothrust.reduction import reduce_run
from isothrust.reduction.airstate import AirState, air_state
from isothrust.reduction.influences import Fitted
from isothrust.reduction.referral import refer_coefficients
from isothrust.reduction.site import make_site
from isothrust.virtual import RunPlan, Stand, TrueAir, VirtualRun, low_noise_sensors, ramp, simulate
from support.simulated import job_of, recording_of
from unit.reduction.bench import DRIVE, curve, recorded, seven_inch

X = np.linspace(200.0, 2700.0, 400)
ONE = np.ones(400, dtype=np.int64)


def fitted(power: float, x: np.ndarray = X, segment: np.ndarray = ONE) -> tuple[object, dict[str, Fitted]]:
    """A coefficient that goes with a power of speed."""
    site = make_site(x, segment, longest=50)
    c = np.linalg.lstsq(site.basis, 3e-6 * (x / 1500.0) ** power, rcond=None)[0]
    return site, {"thrust": Fitted(c, np.zeros((c.size, x.size)), x**2, 2)}


@pytest.mark.parametrize("power", [-0.05, 0.0, 0.08])
def test_a_power_law_is_referred_by_its_power_times_the_change_of_reynolds_number(power: float) -> None:
    site, curves = fitted(power)
    found = refer_coefficients(site, AirState(1.1, 0.09, (), (), ()), curves)["thrust"]  # type: ignore[arg-type]
    assert found.slope == pytest.approx(power, abs=2e-4)
    assert found.relative == pytest.approx(0.09 * power, abs=2e-5)
    assert np.allclose(found.shift, found.relative * curves["thrust"].coefficients)
    assert np.allclose(found.doubt, 0.5 * found.shift)


def test_a_few_levels_have_no_slope_and_carry_a_doubt_instead() -> None:
    x = np.repeat([500.0, 1500.0], 200) + np.random.default_rng(1).standard_normal(400)
    site, curves = fitted(-0.9, x, np.repeat([1, 2], 200))  # the chord over the separated regime is no slope
    found = refer_coefficients(site, AirState(1.1, 0.09, (), (), ()), curves)["thrust"]  # type: ignore[arg-type]
    assert found.relative == 0.0
    assert np.all(found.shift == 0.0)
    assert 0.002 < np.median(found.doubt / curves["thrust"].coefficients) < 0.01


def test_without_air_nothing_is_referred() -> None:
    site, curves = fitted(0.05)
    assert refer_coefficients(site, AirState(None, 0.0, (), (), ()), curves) == {}  # type: ignore[arg-type]


@cache
def days() -> tuple[VirtualRun, ...]:
    """A mountain in summer, a cold day by the sea: density differs by four in ten."""
    stand = Stand(sensors=low_noise_sensors())
    airs = (TrueAir(273.15, 103_000.0, 0.5), TrueAir(308.15, 80_000.0, 0.5))
    return tuple(simulate([RunPlan("d", seven_inch(), DRIVE, stand, ramp(rise=6.0), air) for air in airs], 2))


@pytest.mark.parametrize(("day", "better"), [(0, 1.0), (1, 1.5)])
def test_days_far_apart_agree_in_standard_air(day: int, better: float) -> None:
    run = days()[day]
    found = reduce_run(recording_of(run), job_of(run.plan))
    x = np.array([0.6, 0.75, 0.9]) * found.curves["thrust"].high
    truth = 1.225 * x**2 / run.truth.mounting.thrust(x)
    error = np.abs(curve(found, "thrust", x) * truth - 1.0).max()
    assert error < 0.008
    doubt = [i for i in found.influences if i.source.startswith("Reynolds effect of the referral")]
    assert {i.scope for i in doubt} == {"campaign"}
    # at the day's own density and viscosity nothing is referred: farther off
    air = air_state(job_of(run.plan))
    assert air.density is not None
    as_it_is = replace(job_of(run.plan), standard_density=1.225 * float(np.exp(-air.reynolds_ratio)))
    away = np.abs(curve(reduce_run(recording_of(run), as_it_is), "thrust", x) * truth - 1.0).max()
    assert away > better * error  # in the cold the blade's twist hides most of its Reynolds effect


def test_the_ratio_of_reynolds_numbers_is_that_of_density_over_viscosity() -> None:
    _, job = recorded("ramp")
    day = air_state(job)
    assert day.density is not None
    # Sutherland, ISO 2533: 1.458e-6 T^1.5/(T + 110.4)
    assert job.run.air is not None
    t = job.run.air.temperature.value
    viscosity = [1.458e-6 * k**1.5 / (k + 110.4) for k in (288.15, t)]
    ratio = (1.225 / viscosity[0]) / (day.density / viscosity[1])
    assert day.reynolds_ratio == pytest.approx(float(np.log(ratio)), rel=1e-4)
