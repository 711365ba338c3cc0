"""Common practice, no published source: which way figures move with pitch and diameter on one motor.

Facts of the trade about three-blade propellers of 5.5 to 6 inch on a 22-size motor at 24 V, held against reduced runs
of simulated propellers of that kind: directions and wide ranges, not calibration.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pytest

from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.figures import evaluate_figure
from isothrust.reduction.figures_absent import RunContext
from isothrust.virtual import Drive, Propeller, RunPlan, VirtualRun, make_propeller, ramp, simulate, steps
from support.simulated import job_of, recording_of

GF = 9.80665e-3
RPM = np.pi / 30.0
INCH = 0.0254
MOTOR = Drive(current_limit=42.0)
"""A motor whose current a heavy propeller reaches before full throttle."""

PITCHES = {
    # pitch [in]: CT, CP at 14 000 rpm; a heavier pitch pays for its thrust with more power
    2.5: (0.095, 0.040),
    3.5: (0.140, 0.066),
    4.5: (0.190, 0.112),
    6.0: (0.215, 0.180),
    8.0: (0.225, 0.260),
}


@dataclass(frozen=True)
class Bench:
    propeller: Propeller
    recorded: VirtualRun
    run: ReducedRun

    def figure(self, measurand: str, quantity: str, at: float) -> float:
        context = RunContext(diameter=self.propeller.diameter)
        return float(evaluate_figure(self.run, measurand, quantity, np.array([at]), context).values[0])  # type: ignore[arg-type]

    def single(self, measurand: str) -> float:
        value = next(figure.value for figure in self.run.figures if figure.measurand == measurand)
        assert value is not None
        return value

    @property
    def top_speed(self) -> float:
        return self.run.curves["thrust"].high


def benches(propellers: list[Propeller], **plan: object) -> list[Bench]:
    plans = [RunPlan(one.name, one, drive=MOTOR, **plan) for one in propellers]  # type: ignore[arg-type]
    return [
        Bench(run.plan.propeller, run, reduce_run(recording_of(run), job_of(run.plan))) for run in simulate(plans, 8)
    ]


@pytest.fixture(scope="module")
def by_pitch() -> list[Bench]:
    made = [
        make_propeller(f"pitch {p:g}", diameter=5.8 * INCH, pitch=p * INCH, blades=3, ct=ct, cp=cp, inertia=8e-6)
        for p, (ct, cp) in PITCHES.items()
    ]
    return benches(made, schedule=ramp(rise=6.0))


@pytest.fixture(scope="module")
def by_diameter() -> list[Bench]:
    # One shape at three sizes: the same coefficients; what turns grows with the fifth power of the diameter.
    made = [
        make_propeller(
            f"{d:g} inch",
            diameter=d * INCH,
            pitch=0.7 * d * INCH,
            blades=3,
            ct=0.15,
            cp=0.075,
            inertia=6e-6 * (d / 5) ** 5,
        )
        for d in (5.0, 5.5, 6.0)
    ]
    return benches(made, schedule=ramp(rise=6.0))


def test_m7_at_equal_speed_a_heavier_pitch_gives_more_thrust(by_pitch: list[Bench]) -> None:
    thrusts = [one.figure("thrust", "speed", 14_000 * RPM) for one in by_pitch]
    assert thrusts == sorted(thrusts)


def test_m7_a_light_propeller_runs_out_of_speed_and_a_heavy_one_out_of_torque(by_pitch: list[Bench]) -> None:
    tops = [one.top_speed for one in by_pitch]
    assert tops == sorted(tops, reverse=True)
    motor = [float(np.max(one.recorded.columns["current"])) for one in by_pitch]
    assert motor[0] < motor[1] < motor[2]
    # The best matched one gives the most thrust: neither the lightest nor the heaviest.
    peaks = [one.single("peak-thrust") for one in by_pitch]
    best = int(np.argmax(peaks))
    assert 0 < best < len(peaks) - 1
    assert peaks[best] > 1.05 * max(peaks[0], peaks[-1])


def test_m8_a_larger_diameter_gives_more_thrust_and_efficiency_and_less_top_speed(by_diameter: list[Bench]) -> None:
    for small, large in pairwise(by_diameter):
        assert large.figure("thrust", "speed", 14_000 * RPM) > small.figure("thrust", "speed", 14_000 * RPM)
        for measurand in ("shaft-efficiency", "electrical-efficiency"):
            assert large.figure(measurand, "thrust", 600 * GF) > small.figure(measurand, "thrust", 600 * GF)
        assert large.single("rotor-inertia") > 1.2 * small.single("rotor-inertia")
        assert large.top_speed < small.top_speed
        assert large.single("peak-thrust") > small.single("peak-thrust")


def spin_up_rate(run: VirtualRun) -> float:
    """Mean rate of the step's rise between its 10 % and 90 % points, from the speed samples themselves [rpm/s]."""
    time, rpm = run.columns["time"], run.columns["speed"] / RPM
    up = np.flatnonzero(np.diff(run.columns["throttle"]) > 0.3)
    rates = []
    for start in up:
        leg = (time > time[start] - 0.02) & (time < time[start] + 0.8)
        low, high = float(np.median(rpm[leg][:15])), float(np.median(rpm[leg][-100:]))
        at = [time[leg][np.argmax(rpm[leg] > low + part * (high - low))] for part in (0.1, 0.9)]
        rates.append(0.8 * (high - low) / float(at[1] - at[0]))
    assert len(rates) >= 3
    return float(np.mean(rates))


def figure_of(run: VirtualRun, measurand: str) -> float:
    """Return a figure of the reduced run [SI]."""
    return Bench(run.plan.propeller, run, reduce_run(recording_of(run), job_of(run.plan))).single(measurand)


def test_m3_a_step_from_10_to_50_per_cent_spins_up_at_about_120_000_to_180_000_rpm_a_second() -> None:
    light = make_propeller("light", diameter=5.5 * INCH, pitch=3 * INCH, blades=3, ct=0.108, cp=0.050, inertia=5.5e-6)
    heavy = make_propeller("heavy", diameter=6 * INCH, pitch=4.5 * INCH, blades=3, ct=0.195, cp=0.118, inertia=9.5e-6)
    plans = [RunPlan(one.name, one, schedule=steps(repeats=4)) for one in (light, heavy)]
    runs = simulate(plans, 9)
    fast, slow = (figure_of(run, "spin-up-rate") / RPM for run in runs)
    assert [fast, slow] == pytest.approx([spin_up_rate(run) for run in runs], rel=0.03)
    # About 120 000 for a heavy, high-pitch one and 180 000 for a light, low-pitch one.
    assert 140_000 < fast < 220_000
    assert 100_000 < slow < 150_000
    assert fast > 1.15 * slow


def test_m8_a_larger_diameter_responds_more_slowly() -> None:
    made = [
        make_propeller(
            f"{d:g} inch",
            diameter=d * INCH,
            pitch=0.7 * d * INCH,
            blades=3,
            ct=0.15,
            cp=0.075,
            inertia=6e-6 * (d / 5) ** 5,
        )
        for d in (5.0, 5.5, 6.0)
    ]
    runs = simulate([RunPlan(one.name, one, schedule=steps(repeats=3)) for one in made], 10)
    rates = [spin_up_rate(run) for run in runs]
    assert rates == sorted(rates, reverse=True)
    inertias = [reduce_run(recording_of(run), job_of(run.plan)).inertia for run in runs]
    found = [estimate.value for estimate in inertias if estimate is not None]
    assert found == pytest.approx([run.truth.inertia for run in runs], rel=0.03)
