"""Hand-made reduced runs for the tests of the store."""

from __future__ import annotations

import math

import numpy as np

from isothrust.records.curve import Influence, SmoothCurve
from isothrust.records.finding import Finding
from isothrust.records.motor import DrivePoints
from isothrust.records.reduced import Contribution, Estimate, Figure, HoldPoint, ReducedRun, ZeroFit


def curve(name: str = "thrust", slope: float = 0.0) -> SmoothCurve:
    """A straight line in x on one cubic span from 100 to 400: coefficients at the Greville points."""
    knots = np.array([100.0] * 4 + [400.0] * 4)
    greville = np.array([100.0, 200.0, 300.0, 400.0])
    return SmoothCurve(
        name=name,  # type: ignore[arg-type]
        knots=knots,
        coefficients=2.0e-5 + slope * greville,
        covariance=np.diag([1.0e-14, 2.0e-14, 3.0e-14, 1.0 / 3.0e14]),
        low=120.0,
        high=390.0,
        degrees_of_freedom=41.5,
        residual_sd=0.1 + 0.2,
        correlation=39.7,
    )


def full_run(run: str = "r01", campaign: str = "spring") -> ReducedRun:
    return ReducedRun(
        run=run,
        campaign=campaign,
        design="A",
        sample="A1",
        mounting="1",
        kind="ramp",
        rig="loft",
        date="2026-03-01",
        abscissa="speed",
        density=1.2041,
        standard_density=1.225,
        curves={"thrust": curve("thrust", 1e-9), "torque": curve("torque")},
        influences=(
            Influence("thrust scale", "rig loft thrust scale", "rig", math.inf, {"thrust": np.full(4, 6e-8)}),
            Influence("torque zero", f"run {run} torque zero", "run", 3.2, {}),
        ),
        figures=(
            Figure(
                "peak-thrust",
                12.3,
                (Contribution("thrust scale", "rig loft thrust scale", "rig", -0.03, math.inf),),
                ("plateau",),
            ),
            Figure("peak-current", None, absent="the rig has no current channel"),
        ),
        lags={"thrust": Estimate(0.016, 0.001, 12.0, "final drop")},
        inertia=Estimate(3.1e-5, 2e-7, math.inf, "own final coast"),
        zeros={"thrust": ZeroFit("thrust", -0.01, None, (0.0, 1.9), None, 0.02, 0.004)},
        holds=(HoldPoint(1.0, 4.0, 0.5, None, 4.9, None, 23.9, -0.0),),
        findings=(
            Finding("spikes", "warning", "3 spikes of up to 40 N.", run, "thrust", 1.25, 9.0, 3, "0.1 %", "left out"),
            Finding("air-from-book", "note", "The book's default air was used."),
        ),
        flags=("air-from-book",),
        absent={"current": "the rig has no current channel"},
        inertia_wanted=False,
        method_version=3,
        drive=DrivePoints(
            speed=np.array([400.0, 1.0 / 3.0]),
            torque=np.array([0.1, 0.2]),
            voltage=np.array([24.0, 23.9]),
            current=None,
            throttle=np.array([0.5, 1.0]),
            torque_heat=np.array([0.0, 1e-3]),
            rows=np.array([4.5, 2.0]),
            full=np.array([0.0, 1.0]),
            temperature=294.15,
        ),
    )


def hollow_run(run: str = "r02", campaign: str = "spring") -> ReducedRun:
    return ReducedRun(
        run=run,
        campaign=campaign,
        design="",
        sample="",
        mounting="",
        kind="zero",
        rig="loft",
        date="",
        abscissa="root-thrust",
        density=None,
        standard_density=1.225,
        curves={},
        influences=(),
        figures=(),
        lags={},
        inertia=None,
        zeros={},
        holds=(),
        findings=(),
        inertia_wanted=True,
    )
