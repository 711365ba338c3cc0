"""Factors by definition: NIST SP 811 (2008) Appendix B and ISO 80000; the mercury columns are conventional values.

Each expected value is text as printed in a list of exact conversion factors; tolerance 1e-12, mercury columns 1e-6.
"""

from __future__ import annotations

import math

import pytest

from isothrust.quantities import parse_unit
from support.validation import Printed

SOURCE = "NIST SP 811 (2008), appendix B"

EXACT = [
    ("gf", "0.00980665"),
    ("kgf", "9.80665"),
    ("lbf", "4.4482216152605"),
    ("ozf", "0.27801385095378125"),
    ("ozf in", "0.00706155181422604"),
    ("lbf in", "0.1129848290276167"),
    ("lbf ft", "1.3558179483314004"),
    ("gf cm", "9.80665e-5"),
    ("kgf cm", "0.0980665"),
    ("N mm", "0.001"),
    ("rpm", "0.10471975511965977"),
    ("in", "0.0254"),
    ("ft", "0.3048"),
    ("mph", "0.44704"),
    ("hp", "745.6998715822702"),
    ("PS", "735.49875"),
    ("lb", "0.45359237"),
    ("slug/ft3", "515.3788183931961"),
    ("gn", "9.80665"),
    ("psi", "6894.757293168361"),
    ("atm", "101325"),
]


@pytest.mark.parametrize(("unit", "value"), EXACT)
def test_factor_is_the_exact_one(unit: str, value: str, printed: Printed) -> None:
    printed(parse_unit(unit).factor, value, source=SOURCE, what=f"1 {unit} in SI", relative=1e-12)


def test_knot_is_1852_metres_an_hour() -> None:
    assert parse_unit("knot").factor == pytest.approx(1852 / 3600, rel=1e-15)


@pytest.mark.parametrize(("unit", "value"), [("mmHg", "133.322387415"), ("inHg", "3386.389")])
def test_mercury_columns_are_the_conventional_ones(unit: str, value: str, printed: Printed) -> None:
    printed(parse_unit(unit).factor, value, source=SOURCE, what=f"1 {unit} in SI", relative=1e-6)


def test_one_revolution_a_minute_is_a_sixtieth_of_one_a_second() -> None:
    assert parse_unit("rpm").factor == pytest.approx(parse_unit("rev/s").factor / 60, rel=1e-15)
    assert parse_unit("rev/s").factor == pytest.approx(2 * math.pi, rel=1e-15)


@pytest.mark.parametrize(
    ("force", "arm", "value"),
    [("100 gf", "100 mm", "0.0980665"), ("1 ozf", "1 in", "7.0615518e-3")],
)
def test_force_on_an_arm_gives_the_torque_of_the_definition(force: str, arm: str, value: str, printed: Printed) -> None:
    torque = parse_unit(force) * parse_unit(arm)
    assert torque.dimension == parse_unit("N m").dimension
    printed(torque.factor, value, source=SOURCE, what=f"{force} at {arm} [N m]")


@pytest.mark.parametrize(("reading", "kelvin"), [("0", "273.15"), ("20", "293.15"), ("-40", "233.15")])
def test_celsius_is_the_kelvin_scale_less_273_15(reading: str, kelvin: str) -> None:
    assert parse_unit("degC").to_si(float(reading)) == pytest.approx(float(kelvin), abs=1e-12)


@pytest.mark.parametrize(("reading", "celsius"), [("32", "0"), ("212", "100"), ("-40", "-40")])
def test_fahrenheit_meets_celsius_at_its_fixed_points(reading: str, celsius: str) -> None:
    kelvin = parse_unit("degF").to_si(float(reading))
    assert parse_unit("degC").from_si(kelvin) == pytest.approx(float(celsius), abs=1e-9)
