"""From readings to loads: zeros out, signs settled, the stand's share of the slipstream given back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.errors import ReductionError
from isothrust.reduction.loads import load_channels
from unit.reduction.bench import changed, recorded, simulated, without


def test_loads_are_the_readings_less_their_zeros() -> None:
    recording, job = recorded("ramp")
    loads = load_channels(recording, job)
    truth = simulated("ramp").truth.zeros
    for name in ("thrust", "torque"):
        freed = recording.channels[name].values - truth[name]
        assert np.abs(loads.channels[name].values - freed).max() < 0.3 * loads.zeros[name].uncertainty
    assert len(loads.rests) == 2


@pytest.mark.parametrize("diameter", [0.127, 0.1778])
def test_thrust_is_raised_by_the_stands_share_of_the_slipstream(diameter: float) -> None:
    # DESIGN section 5: T = T'/(1 - S CD/(4 A)); 20 cm2 costs 4 % at 5 inch and 2 % at 7 inch
    recording, job = recorded("ramp")
    job = replace(job, design=replace(job.design, diameter=diameter))
    free = load_channels(recording, replace(job, rig=replace(job.rig, obstruction=0.0)))
    behind = load_channels(recording, replace(job, rig=replace(job.rig, obstruction=20e-4)))
    factor = 1.0 / (1.0 - 20e-4 / (np.pi * diameter**2))
    assert behind.slipstream == pytest.approx(factor)
    assert np.allclose(behind.channels["thrust"].values, factor * free.channels["thrust"].values)
    assert factor - 1.0 == pytest.approx({0.127: 0.04, 0.1778: 0.02}[diameter], abs=0.003)
    half = replace(job.rig, obstruction=20e-4, obstruction_drag=0.5)
    gentler = load_channels(recording, replace(job, rig=half)).slipstream
    assert gentler == pytest.approx(1.0 / (1.0 - 10e-4 / (np.pi * diameter**2)))


def test_without_a_stated_area_or_a_diameter_thrust_stays_as_it_is() -> None:
    recording, job = recorded("ramp")
    assert load_channels(recording, replace(job, rig=replace(job.rig, obstruction=None))).slipstream is None
    assert load_channels(recording, replace(job, design=replace(job.design, diameter=None))).slipstream is None


def test_negative_thrust_is_refused_with_the_key_that_mends_it() -> None:
    recording, job = recorded("ramp")
    with pytest.raises(ReductionError) as refused:
        load_channels(changed(recording, "thrust", lambda _, v: -v), job)
    assert refused.value.code == "thrust-negative"
    assert "sign = -1 under [channels.thrust] in rigs/loft.toml" in str(refused.value)


def test_a_torque_that_dips_below_zero_is_not_turned() -> None:
    recording, job = recorded("ramp")
    friction = changed(recording, "torque", lambda t, v: np.where(t > 12.4, v - 0.05, v))
    assert "torque-turned" not in {f.code for f in load_channels(friction, job).findings}


@pytest.mark.parametrize("idle", [0.02, 0.12])
def test_a_motor_that_never_ran_is_refused(idle: float) -> None:
    recording, job = recorded("ramp")
    still = without(changed(recording, "current", lambda _, v: idle + 0.001 * np.sin(np.arange(v.size))), "speed")
    with pytest.raises(ReductionError) as refused:
        load_channels(still, job)
    assert refused.value.code == "no-propulsion"
    assert f"{idle:.2f} A" in str(refused.value)


def test_a_zero_run_need_not_have_run() -> None:
    recording, job = recorded("zero")
    assert load_channels(recording, job).zeros["thrust"].before is not None


def test_a_stuck_load_is_left_out_and_named() -> None:
    recording, job = recorded("ramp")
    loads = load_channels(changed(recording, "torque", lambda _, v: np.full_like(v, 0.12)), job)
    assert "torque" not in loads.channels
    assert [f.code for f in loads.findings] == ["channel-dead"]
