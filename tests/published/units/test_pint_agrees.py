"""pint, an independent unit library, as a witness for the whole table.

pint spells some units otherwise; it reads `Nm` as a unit of textiles, so products are spelt out for it.
"""

from __future__ import annotations

from typing import Any

import pytest

from isothrust.quantities import DIMENSIONLESS, Dimension, parse_unit
from isothrust.quantities.table import OFFSETS, UNITS

PINT_NAMES = {
    "%": "percent",
    "Nm": "newton * meter",
    "mNm": "millinewton * meter",
    "Nmm": "newton * millimeter",
    "Ncm": "newton * centimeter",
    "PS": "metric_horsepower",
    "degC": "delta_degree_Celsius",
    "degF": "delta_degree_Fahrenheit",
    "deg": "degree",
    "gf": "gram * standard_gravity",
    "gn": "standard_gravity",
    "kgf": "kilogram_force",
    "mmHg": "millimeter_Hg",
    "inHg": "inch_Hg",
    "mohm": "milliohm",
    "um": "micrometer",
    "us": "microsecond",
    "uV": "microvolt",
    "rev": "revolution",
    "mph": "mile_per_hour",
    "min": "minute",
    "h": "hour",
    "Ah": "ampere * hour",
    "mAh": "milliampere * hour",
    "Wh": "watt * hour",
    "in": "inch",
    "ft": "foot",
}
LOOSE = {"inHg": 1e-6, "mmHg": 1e-6}
BASES = {
    "[length]": "length",
    "[mass]": "mass",
    "[time]": "time",
    "[current]": "current",
    "[temperature]": "temperature",
}


@pytest.fixture(scope="module")
def witness() -> Any:
    import pint

    return pint.UnitRegistry()


@pytest.mark.parametrize("symbol", [symbol for symbol in UNITS if symbol != "1"])
def test_pint_has_the_same_factor_and_dimension(symbol: str, witness: Any) -> None:
    theirs = witness.Quantity(1.0, PINT_NAMES.get(symbol, symbol)).to_base_units()
    ours = parse_unit(symbol)
    assert ours.factor == pytest.approx(theirs.magnitude, rel=LOOSE.get(symbol, 1e-12))
    exponents = {BASES[base]: int(exponent) for base, exponent in theirs.dimensionality.items()}
    # Angle and count are bases of ours; for pint they are dimensionless.
    bare = Dimension(*(*ours.dimension.exponents[:5], 0, 0))
    assert bare == Dimension(**exponents)


@pytest.mark.parametrize("symbol", sorted(OFFSETS))
def test_pint_has_the_same_zero(symbol: str, witness: Any) -> None:
    name = {"degC": "degree_Celsius", "degF": "degree_Fahrenheit"}[symbol]
    kelvin = witness.Quantity(0.0, name).to("kelvin").magnitude
    assert parse_unit(symbol).to_si(0.0) == pytest.approx(kelvin, abs=1e-9)


def test_table_has_no_dimensionless_unit_that_could_be_anything() -> None:
    dimensionless = {symbol for symbol, (_, dimension) in UNITS.items() if dimension == DIMENSIONLESS}
    assert dimensionless == {"1", "%", "ppm"}
