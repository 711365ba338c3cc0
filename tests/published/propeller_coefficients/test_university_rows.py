"""Rows of the UIUC Propeller Data Site as printed, and what follows from them, worked out outside the project.

Brandt & Selig, AIAA 2011-1255 (volume 1); Deters, Ananda & Selig, AIAA 2014-2151 (volume 2).
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from isothrust.science.advance import propulsive_efficiency
from isothrust.science.momentum import (
    disc_loading,
    induced_velocity,
    rotor_power_coefficient,
    rotor_thrust_coefficient,
)
from isothrust.science.rotor import (
    figure_of_merit,
    figure_of_merit_from_coefficients,
    power_coefficient,
    power_from_coefficient,
    thrust_coefficient,
    thrust_from_coefficient,
    tip_mach,
    tip_speed,
    torque_from_coefficient,
)
from support.validation import Printed

SOURCE = "UIUC Propeller Data Site, rows as printed; what follows was worked out outside the project"
DENSITY = 1.225


@pytest.mark.parametrize(
    ("name", "diameter", "rpm", "ct", "cp", "thrust", "torque", "power", "fm"),
    [
        ("10x4.7", 0.2540, 6528.0, 0.1299, 0.0531, "7.840394", "0.129562", "88.56984", "0.703492"),
        ("11x4.7", 0.2794, 6021.0, 0.1259, 0.0493, "9.464598", "0.164805", "103.91235", "0.722989"),
        ("5x3.75", 0.127, 7440.0, 0.129020, 0.092551, "0.632195", "0.009166", "7.141688", "0.399525"),
        ("3.2x2.2", 0.08128, 19923.333, 0.125828, 0.059879, "0.741771", "0.004566", "9.527113", "0.594746"),
    ],
)
def test_forces_from_coefficients(
    printed: Printed,
    name: str,
    diameter: float,
    rpm: float,
    ct: float,
    cp: float,
    thrust: str,
    torque: str,
    power: str,
    fm: str,
) -> None:
    n = rpm / 60.0
    t = thrust_from_coefficient(ct, DENSITY, n, diameter)
    q = torque_from_coefficient(cp / (2.0 * np.pi), DENSITY, n, diameter)
    p = power_from_coefficient(cp, DENSITY, n, diameter)
    at = f"{name} at {rpm} rpm"
    printed(t, thrust, source=SOURCE, what=f"thrust of a {at} [N]", relative=1e-5)
    printed(q, torque, source=SOURCE, what=f"torque of a {at} [N m]")
    printed(p, power, source=SOURCE, what=f"shaft power of a {at} [W]", relative=1e-5)
    printed(
        figure_of_merit(t, p, DENSITY, diameter), fm, source=SOURCE, what=f"figure of merit of a {at}", relative=1e-5
    )
    assert_allclose(2.0 * np.pi * n * q, p, rtol=1e-12)


def test_what_else_follows_from_one_row(printed: Printed) -> None:
    diameter, n, ct, cp = 0.2540, 6528.0 / 60.0, 0.1299, 0.0531
    thrust = thrust_from_coefficient(ct, DENSITY, n, diameter)
    power = power_from_coefficient(cp, DENSITY, n, diameter)
    rows = {
        "induced velocity [m/s]": (induced_velocity(thrust, DENSITY, diameter), "7.947074"),
        "rotor thrust coefficient": (rotor_thrust_coefficient(ct), "0.016758"),
        "rotor power coefficient": (rotor_power_coefficient(cp), "0.002180"),
        "tip speed [m/s]": (tip_speed(n, diameter), "86.81854"),
        "tip Mach number": (tip_mach(n, diameter, 340.294), "0.25513"),
        "thrust per power [gf/W]": (thrust / power / 0.00980665, "9.02675"),
        "disc loading [N/m2]": (disc_loading(thrust, diameter), "154.732"),
    }
    for what, (ours, expected) in rows.items():
        printed(ours, expected, source=SOURCE, what=f"{what} of a 10x4.7 at 6528 rpm")
    # The tests behind these rows are said to stay below a tip Mach number of 0.26 (AIAA 2014-2151, section II).
    assert tip_mach(n, diameter, 340.294) <= 0.26


def test_a_whole_static_sweep_comes_back_to_its_printed_digits() -> None:
    text = (Path(__file__).parent / "static_10x47.csv").read_text(encoding="utf-8").splitlines()[1:]
    rows = [{k: float(v) for k, v in row.items()} for row in csv.DictReader(text)]
    assert len(rows) == 16
    rpm, ct, cp = (np.array([row[name] for row in rows]) for name in ("rpm", "CT", "CP"))
    n, diameter = rpm / 60.0, 0.254
    thrust = thrust_from_coefficient(ct, DENSITY, n, diameter)
    torque = power_from_coefficient(cp, DENSITY, n, diameter) / (2.0 * np.pi * n)
    # Round trip in other air than it was made in: the coefficients are what stays.
    thin = thrust * 0.9 / DENSITY, torque * 0.9 / DENSITY
    assert_allclose(thrust_coefficient(thin[0], 0.9, n, diameter), ct, atol=5e-5)
    assert_allclose(power_coefficient(2.0 * np.pi * n * thin[1], 0.9, n, diameter), cp, atol=5e-5)
    assert (figure_of_merit_from_coefficients(ct, cp) < 0.85).all()


@pytest.mark.parametrize(
    ("j", "ct", "cp", "eta"),
    [
        (0.089, 0.1201, 0.0523, "0.204"),
        (0.199, 0.1019, 0.0493, "0.410"),
        (0.308, 0.0833, 0.0454, "0.566"),
        (0.445, 0.0562, 0.0381, "0.657"),
    ],
)
def test_propulsive_efficiency(printed: Printed, j: float, ct: float, cp: float, eta: str) -> None:
    source = "UIUC Propeller Data Site, volume 1, apcsf_10x4.7_rd0841_6512"
    ours = propulsive_efficiency(ct, cp, j)
    printed(ours, eta, source=source, what=f"propulsive efficiency at J = {j}", absolute=0.0015)


@pytest.mark.parametrize(
    ("rpm", "speed", "mach"), [(20000, "132.994", ".388"), (30000, "199.491", ".581"), (40000, "265.988", ".775")]
)
def test_tip_speed(printed: Printed, rpm: int, speed: str, mach: str) -> None:
    source = "pi n D, worked out outside the project"
    printed(tip_speed(rpm / 60.0, 0.127), speed, source=source, what=f"tip speed of 127 mm at {rpm} rpm [m/s]")
    ours = tip_mach(rpm / 60.0, 0.127, 343.2)
    printed(ours, mach, source=source, what=f"tip Mach number of 127 mm at {rpm} rpm, 343.2 m/s")
