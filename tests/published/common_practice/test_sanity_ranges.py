"""Common practice: facts of the trade without a published source, held against reduced runs. Ranges, not calibration.

The runs are simulated; what they are held to is what testers of 5.5 to 6 inch three-blade propellers and of small
research propellers report. The static tables of a university stand beside as measured propellers.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
import pytest

from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.figures import evaluate_figure
from isothrust.reduction.figures_absent import RunContext
from isothrust.science.arrays import Floats
from isothrust.science.rotor import power_from_coefficient, thrust_from_coefficient
from isothrust.virtual import Propeller, RunPlan, make_propeller, simulate
from support.simulated import job_of, recording_of

GF = 9.80665e-3
RPM = 2.0 * np.pi / 60.0
INCH = 0.0254
FOURTEEN_THOUSAND = 14_000.0 * RPM


@dataclass(frozen=True)
class Bench:
    propeller: Propeller
    run: ReducedRun

    def figure(self, measurand: str, quantity: Literal["thrust", "speed"], at: Floats | float) -> Floats:
        context = RunContext(diameter=self.propeller.diameter)
        return evaluate_figure(
            self.run, measurand, quantity, np.atleast_1d(np.asarray(at, dtype=float)), context
        ).values


@pytest.fixture(scope="module")
def bench() -> dict[str, Bench]:
    made = {
        "light": make_propeller(
            "light", diameter=5.5 * INCH, pitch=3 * INCH, blades=3, ct=0.108, cp=0.050, inertia=6e-6
        ),
        "heavy": make_propeller(
            "heavy", diameter=6 * INCH, pitch=4.5 * INCH, blades=3, ct=0.195, cp=0.118, inertia=1e-5
        ),
    }
    runs = simulate([RunPlan(name, propeller) for name, propeller in made.items()], 20260302)
    return {run.plan.name: Bench(run.plan.propeller, reduce_run(recording_of(run), job_of(run.plan))) for run in runs}


def test_m1_thrust_at_14000_rpm_runs_from_about_250_to_750_gf(bench: dict[str, Bench]) -> None:
    light, heavy = (bench[name].figure("thrust", "speed", FOURTEEN_THOUSAND)[0] / GF for name in ("light", "heavy"))
    assert 210 < light < 350
    assert 600 < heavy < 850


def test_m2_thrust_per_shaft_watt_at_1000_gf_is_about_3_5_to_a_little_over_4(bench: dict[str, Bench]) -> None:
    for one in bench.values():
        assert 3.2 < one.figure("shaft-efficiency", "thrust", 1000 * GF)[0] / GF < 4.4


def test_m5_efficiency_always_falls_with_thrust(bench: dict[str, Bench]) -> None:
    for one in bench.values():
        for measurand in ("shaft-efficiency", "electrical-efficiency"):
            values = one.figure(measurand, "thrust", np.linspace(150, 1200, 12) * GF)
            assert np.isfinite(values).all()
            assert (np.diff(values) < 0.0).all()


def test_m6_m7_more_pitch_gives_more_thrust_and_a_higher_inflow_ratio_at_equal_speed(bench: dict[str, Bench]) -> None:
    for measurand in ("thrust", "inflow-ratio", "torque"):
        light, heavy = (bench[name].figure(measurand, "speed", FOURTEEN_THOUSAND)[0] for name in ("light", "heavy"))
        assert light < heavy


def test_figures_of_merit_and_drive_efficiencies_are_possible_ones(bench: dict[str, Bench]) -> None:
    thrusts = np.linspace(200, 1200, 9) * GF
    for one in bench.values():
        merit = one.figure("figure-of-merit", "thrust", thrusts)
        drive = one.figure("drive-efficiency", "thrust", thrusts)
        assert ((merit > 0.3) & (merit < 0.85)).all()
        assert ((drive > 0.5) & (drive < 0.95)).all()


def test_measured_propellers_of_5_to_6_inch_lie_in_the_same_ranges(shared: Path) -> None:
    fastest: dict[str, dict[str, float]] = {}
    for volume in (1, 2, 3):
        with (shared / "field" / "university-tables" / f"volume{volume}.csv").open(encoding="utf-8") as file:
            for row in csv.DictReader(file):
                if float(row["J"]) == 0.0 and 5.0 <= float(row["D"]) <= 6.0:
                    kept = fastest.setdefault(row["PropName"], {"N": 0.0})
                    if float(row["N"]) > kept["N"]:
                        kept.update({name: float(row[name]) for name in ("N", "D", "CT", "CP")})
    assert len(fastest) > 5, "the tables ought to hold propellers of this size"
    rows = list(fastest.values())
    ct, cp, diameter = (np.array([row[name] for row in rows]) for name in ("CT", "CP", "D"))
    thrust = thrust_from_coefficient(ct, 1.225, 14_000.0 / 60.0, diameter * INCH) / GF
    # Two blades and 5 inch among them, so the low end lies below that of three blades of 5.5 inch.
    assert 80 < np.min(thrust) < np.max(thrust) < 750
    n = np.sqrt(1000 * GF / thrust_from_coefficient(ct, 1.225, 1.0, diameter * INCH))
    per_watt = 1000.0 / power_from_coefficient(cp, 1.225, n, diameter * INCH)
    assert 1.5 < np.min(per_watt) < np.max(per_watt) < 4.6
