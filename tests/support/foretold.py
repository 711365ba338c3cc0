"""Predictions for a motor and a voltage that a propeller was never run on, each beside its truth.

Every simulated campaign draws its own rig, air sensors, zeros, samples and mountings. The propellers were run on one
motor; the other motor is found from other propellers; full throttle and hover there, at a third voltage, are foretold
and set beside what the simulated drive does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from isothrust.records.book import Design
from isothrust.records.motor import MotorModel
from isothrust.records.prediction import Craft, Estimated, Power
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.figures import RunContext
from isothrust.reduction.machines import machine_batch
from isothrust.reduction.motor_found import MotorRuns, find_motor
from isothrust.reduction.pooling import CampaignRuns
from isothrust.reduction.predicting import Ground, predict_figures
from isothrust.reduction.propellerload import propeller_load
from isothrust.reduction.warming import Heating, heating_of, warm_at_full_throttle, warm_in_hover
from isothrust.virtual import (
    STANDARD_AIR,
    Drive,
    PropellerTruth,
    RunPlan,
    Setup,
    VirtualRun,
    campaign,
    make_propeller,
    simulate,
    simulate_each,
)
from isothrust.workflows.place import place_of
from support.simulated import job_of, motor_of, recording_of, rig_of
from support.study import DESIGNS, Case

__all__ = ["FORETOLD", "foretold_cases"]

OTHER = Drive(
    "m2", kv=1720.0, resistance=0.072, friction=3.1e-3, viscous=1.5e-6, supply_voltage=16.0, source_resistance=0.02
)
"""The motor that the propellers were never run on, and the voltage that it was found at."""
VOLTAGE = 18.5
"""What is foretold [V]: neither that of the propellers' own runs nor that of the motor's."""
FINDERS = (
    make_propeller("light", diameter=0.127, pitch=0.09, blades=2, ct=0.12, cp=0.06, inertia=5e-6),
    make_propeller("broad", diameter=0.14, pitch=0.1, blades=3, ct=0.15, cp=0.08, inertia=8e-6),
    make_propeller("large", diameter=0.165, pitch=0.1, blades=2, ct=0.12, cp=0.052, inertia=1.1e-5),
    make_propeller("heavy", diameter=0.1778, pitch=0.12, blades=3, ct=0.13, cp=0.06, inertia=1.8e-5),
)
FORETOLD = DESIGNS[:3]
PLATEAU = 0.3
"""How long the simulated ramps stay at full throttle [s]."""
HOVER = 4.0
"""Thrust [N] of one rotor in hover."""


@dataclass(frozen=True, slots=True)
class _Half:
    """The runs of one motor."""

    plans: tuple[RunPlan, ...]
    seed: int


def foretold_cases(seeds: Sequence[int], *, thin: int = 1, step: float = 5e-4) -> list[Case]:
    """Simulate two campaigns a seed, on one rig; return each figure foretold beside its truth."""
    halves = []
    for seed in seeds:
        setup = Setup()
        own = campaign(FORETOLD, seed=seed, setup=setup, mountings=3)
        other = campaign(FINDERS, seed=seed, setup=replace(setup, drive=OTHER), mountings=1)
        halves.append((own, other))
    plans = [plan for own, other in halves for plan in (*own, *other)]
    runs = [run.thinned(thin) if thin > 1 else run for run in simulate_each(plans, seeds[0] + 400_000, step=step)]
    cases = []
    for number, (own, _) in enumerate(halves):
        size = len(runs) // len(halves)
        members = runs[number * size : (number + 1) * size]
        cases += _foretold(members[: len(own)], members[len(own) :])
    return cases


def _foretold(own: Sequence[VirtualRun], other: Sequence[VirtualRun]) -> list[Case]:
    motor, heating = _motor(other)
    pooled = CampaignRuns(
        "c", _reduced(own), contexts={run.plan.name: RunContext(run.plan.propeller.diameter) for run in own}
    )
    truths = {run.plan.propeller.name: run.truth.sample for run in own}
    return [case for name, truth in truths.items() for case in _cases(pooled, name, truth, motor, heating)]


def _reduced(runs: Sequence[VirtualRun]) -> tuple[ReducedRun, ...]:
    return tuple(reduce_run(recording_of(run), job_of(run.plan)) for run in runs)


def _motor(runs: Sequence[VirtualRun]) -> tuple[MotorModel, Heating | None]:
    rig, reduced = rig_of(runs[0].plan.stand), _reduced(runs)
    motor = find_motor(MotorRuns(OTHER.name, reduced, {rig.name: rig}, motor_of(OTHER)))
    return motor, heating_of(motor, reduced)


def _cases(
    pooled: CampaignRuns, name: str, truth: PropellerTruth, motor: MotorModel, heating: Heating | None
) -> list[Case]:
    load, reason = propeller_load(pooled, name, STANDARD_AIR.density)
    assert load is not None, reason
    power = Power(VOLTAGE)
    place = place_of(STANDARD_AIR.density, None, None)
    batch = machine_batch(load, motor, power)
    ground = Ground(
        batch=warm_at_full_throttle(batch, heating, place.temperature),
        hover_batch=warm_in_hover(batch, heating, place.temperature),
        load=load,
        motor=motor,
        power=power,
        place=place,
        design=Design(name, diameter=truth.propeller.diameter, pitch=truth.propeller.pitch),
        craft=Craft(4.0 * HOVER / 9.80665, 4),
    )
    told = {figure.name: figure for figure in predict_figures(ground)}
    true = _truth(truth, name)
    return [_case(told[figure], value) for figure, value in true.items()]


def _case(figure: Estimated, truth: float) -> Case:
    assert figure.value is not None, figure.absent
    assert figure.standard_uncertainty is not None
    assert figure.interval is not None
    return Case(figure.name, None, figure.value, truth, figure.standard_uncertainty, figure.interval)


def _truth(truth: PropellerTruth, name: str) -> dict[str, float]:
    """Return what the simulated drive does with the sample, the winding as warm as at the end of a ramp there."""
    drive = replace(OTHER, supply_voltage=VOLTAGE, source_resistance=0.0, lead_resistance=0.0)
    warm, mild = _temperatures(name)
    low, high = 100.0, 4500.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        reaches = drive.steady_state(np.array(middle), truth.torque(middle), warm).duty <= 1.0
        low, high = (middle, high) if reaches else (low, middle)
    full = drive.steady_state(np.array(low), truth.torque(low), warm)
    hover = float(truth.speed_at_thrust(HOVER))
    held = drive.steady_state(np.array(hover), truth.torque(hover), mild)
    return {
        "peak-thrust": float(truth.thrust(low)),
        "peak-speed": low,
        "peak-current": float(full.current),
        "peak-electrical-power": float(full.power),
        "hover-speed": hover,
        "hover-duty": float(held.duty),
        "hover-current": float(held.current),
        "hover-electrical-power": float(held.power),
    }


@cache
def _temperatures(name: str) -> tuple[float, float]:
    """Return the winding's temperature at the end of a ramp to full throttle there, and at the hover's speed [K]."""
    propeller = next(one for one in FORETOLD if one.name == name)
    plan = RunPlan(f"warm-{name}", propeller, drive=replace(OTHER, supply_voltage=VOLTAGE), air=STANDARD_AIR)
    (run,) = simulate([plan], 1)
    truth = run.truth
    hover = float(truth.sample.speed_at_thrust(HOVER))
    top = truth.top_speed
    passed = float(truth.winding_temperature(top))
    # Full throttle is the plateau's mean: half of it later than the moment at which the ramp ends.
    drive = plan.drive
    state = drive.steady_state(np.array(top), truth.mounting.torque(top, STANDARD_AIR), passed)
    heat = float(state.motor_current) ** 2 * float(drive.winding_resistance(passed))
    cooled = drive.cooling * (passed - STANDARD_AIR.temperature)
    return passed + 0.5 * PLATEAU * (heat - cooled) / drive.heat_capacity, float(truth.winding_temperature(hover))
