from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from isothrust.errors import UnitError
from isothrust.quantities import Dimension, parse_unit
from isothrust.quantities.table import ALIASES, OFFSETS, UNITS

SIMPLE = sorted(symbol for symbol in UNITS if symbol not in OFFSETS and symbol != "1")
TORQUE = Dimension(length=2, mass=1, time=-2)


@pytest.mark.parametrize(
    "text", ["N m", "N.m", "N*m", "N·m", "N⋅m", "Nm", "N  m", "kg m2/s2", "kg m^2/s^2", "m2 kg s-2", "N m^1"]
)
def test_every_way_to_write_a_newton_metre_is_the_same(text: str) -> None:
    unit = parse_unit(text)
    assert (unit.factor, unit.offset, unit.dimension) == (1.0, 0.0, TORQUE)


@pytest.mark.parametrize(
    ("text", "factor"),
    [
        ("14000rpm", 14000 * 0.10471975511965977),
        ("500gf", 4.903325),
        ("2.1 ozf.in", 2.1 * 0.00706155181422604),
        ("0.1 A", 0.1),
        ("0.1 s", 0.1),
        (".5 V", 0.5),
        ("1e-3 N m", 0.001),
        ("g cm2", 1e-7),
        ("12.5 mV/Pa", 0.0125),
        ("kg/m s", 1.0),
        ("rpm/V", 0.10471975511965977),
        ("1/s", 1.0),
        ("/s", 1.0),
        ("1", 1.0),
        ("%", 0.01),
        ("3 %", 0.03),
        ("m s^-2", 1.0),
        ("m³", 1.0),
        ('7 "', 0.1778),
    ],
)
def test_number_product_and_one_solidus_are_read(text: str, factor: float) -> None:
    assert parse_unit(text).factor == pytest.approx(factor, rel=1e-12)


@pytest.mark.parametrize(
    "pair",
    [
        "us µs",
        "us μs",
        "ohm Ω",
        "ohm \N{OHM SIGN}",
        "degC °C",
        "degC DegC",
        "mohm mΩ",
        "m2 m²",
        "m/s2 m/s²",
        "rpm RPM",
        "uV µV",
    ],
)
def test_signs_and_spellings_mean_the_same_unit(pair: str) -> None:
    plain, other = pair.split()
    assert parse_unit(other).factor == parse_unit(plain).factor
    assert parse_unit(other).offset == parse_unit(plain).offset
    assert parse_unit(other).dimension == parse_unit(plain).dimension


@pytest.mark.parametrize("text", ["Deg C", "deg C", "degree C", "degrees C", "° C", " °C "])
def test_degrees_celsius_are_read_however_they_are_spaced(text: str) -> None:
    assert parse_unit(text).to_si(20.0) == pytest.approx(293.15)


@pytest.mark.parametrize("text", ["2 degC", "degC/s", "W/degC", "degC m", "degC2", "1/degC"])
def test_degree_with_an_offset_stands_alone_or_not_at_all(text: str) -> None:
    with pytest.raises(UnitError, match="stand alone") as caught:
        parse_unit(text)
    assert caught.value.code == "unknown-unit"


@pytest.mark.parametrize(
    "text", ["m/s/s", "m/", "-1 N", "0 N", "1e999 N", "m0", "m12", "N-m", "kg(m2)", "ms!", "N,m", "μ", "^2"]
)
def test_what_is_no_unit_is_refused(text: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_unit(text)
    assert caught.value.code == "unknown-unit"
    assert text in str(caught.value)


@pytest.mark.parametrize("text", ["", "  ", "\N{NO-BREAK SPACE}"])
def test_empty_unit_is_called_missing(text: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_unit(text, quantity="thrust")
    assert caught.value.code == "missing-unit"
    assert "gf" in str(caught.value)


def test_aliases_lead_to_units_and_hide_none() -> None:
    assert set(ALIASES.values()) <= set(UNITS)
    assert not set(ALIASES) & set(UNITS)


@given(st.sampled_from(SIMPLE), st.sampled_from(SIMPLE))
def test_product_of_units_multiplies_factors_and_dimensions(first: str, second: str) -> None:
    product, left, right = parse_unit(f"{first} {second}"), parse_unit(first), parse_unit(second)
    assert product.factor == pytest.approx(left.factor * right.factor, rel=1e-14)
    assert product.dimension == left.dimension * right.dimension
    assert (left * right).factor == pytest.approx(product.factor, rel=1e-14)


@given(st.sampled_from(SIMPLE), st.sampled_from(SIMPLE), st.integers(min_value=1, max_value=4))
def test_what_stands_below_the_line_divides(above: str, below: str, exponent: int) -> None:
    unit, top, bottom = parse_unit(f"{above}/{below}{exponent}"), parse_unit(above), parse_unit(below)
    assert unit.factor == pytest.approx(top.factor / bottom.factor**exponent, rel=1e-12)
    assert unit.dimension == top.dimension * bottom.dimension**-exponent


@given(st.text(alphabet=string.printable + "µμΩ°²³·−", max_size=12))
def test_any_text_is_a_unit_or_a_unit_error_and_nothing_else(text: str) -> None:
    try:
        unit = parse_unit(text)
    except UnitError as error:
        assert error.code in {"unknown-unit", "missing-unit"}  # noqa: PT017  both outcomes are right
    else:
        assert unit.factor > 0.0
