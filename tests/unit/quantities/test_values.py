from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from isothrust.errors import UnitError, Where
from isothrust.quantities import (
    QUANTITIES,
    STANDARD_GRAVITY,
    check_dimension,
    parse_unit,
    parse_value,
    split_head,
)
from isothrust.quantities.table import UNITS


def refused(text: str, quantity: str) -> str:
    with pytest.raises(UnitError) as caught:
        parse_unit(text, quantity=quantity)
    assert caught.value.code == "wrong-dimension"
    return str(caught.value)


def test_wrong_dimension_names_both_in_words() -> None:
    told = refused("gf", "torque")
    assert "a torque (N m) is needed here" in told
    assert '"gf" is a force (N)' in told
    assert "arm" in told


@pytest.mark.parametrize(
    ("text", "quantity", "meant"),
    [
        ("g", "thrust", "gf"),
        ("kg", "thrust", "kgf"),
        ("lb", "thrust", "lbf"),
        ("oz", "force", "ozf"),
        ("oz in", "torque", "ozf in"),
        ("g cm", "torque", "gf cm"),
        ("g", "acceleration", "gn"),
        ("Hz", "speed", "rev/s"),
        ("rad.s", "speed", "rad/s"),
        ("g/count", "count", None),
    ],
)
def test_wrong_dimension_says_what_was_probably_meant(text: str, quantity: str, meant: str | None) -> None:
    told = refused(text, quantity)
    assert ("did you mean" in told) == (meant is not None)
    if meant is not None:
        assert f"did you mean {meant}?" in told
        assert parse_unit(meant).dimension == QUANTITIES[quantity].dimension


def test_rate_of_events_is_not_a_speed_of_rotation() -> None:
    assert "a rate of events (Hz)" in refused("Hz", "speed")
    assert parse_unit("Hz", quantity="rate").factor == 1.0
    for text in ("rpm", "rev/s", "rad/s"):
        assert parse_unit(text, quantity="speed").factor > 0


@pytest.mark.parametrize(
    ("text", "nearest"),
    [("Rmp", "rpm"), ("milliv", None), ("N-m", "N m"), ("GF", "gf"), ("hpa", "hPa"), ("VOLT", "V"), ("kgF", "kgf")],
)
def test_unknown_unit_names_the_nearest(text: str, nearest: str | None) -> None:
    with pytest.raises(UnitError) as caught:
        parse_unit(text)
    assert caught.value.code == "unknown-unit"
    expected = caught.value.problems[0].expected or ""
    if nearest is None:
        assert "nearest" not in expected
    else:
        assert nearest in expected.split(" (the nearest)")[0].split(", ")


def test_unknown_unit_offers_only_units_that_fit_what_is_wanted() -> None:
    with pytest.raises(UnitError) as caught:
        parse_unit("oz-in", quantity="torque")
    assert (caught.value.problems[0].expected or "").startswith("ozf in (the nearest)")


@pytest.mark.parametrize(
    ("text", "word"), [("eRPM", "pole_pairs"), ("kV", "rpm/V"), ("dB", "sensitivity"), ("rps", "rev/s")]
)
def test_units_that_are_none_are_explained(text: str, word: str) -> None:
    with pytest.raises(UnitError, match=word):
        parse_unit(text)


def test_error_says_where() -> None:
    place = Where("rigs/loft.toml", 12, "axial")
    with pytest.raises(UnitError) as caught:
        parse_unit("zz", where=place)
    assert 'where:    rigs/loft.toml, line 12, column "axial"' in str(caught.value)


@pytest.mark.parametrize(
    ("text", "quantity", "si"),
    [
        ("0.6 m", "length", 0.6),
        ("-21.0 mm", "length", -0.021),
        ("−21.0 mm", "length", -0.021),
        ("12 cm2", "area", 0.0012),
        ("0.3 %", "ratio", 0.003),
        ("0.5", "throttle", 0.5),
        ("21.5 degC", "temperature", 294.65),
        ("0.3 K", "temperature-difference", 0.3),
        ("0.3 degC", "temperature-difference", 0.3),
        ("0.6 hPa", "pressure", 60.0),
        ("1000gf", "thrust", 1000 * 0.00980665),
        ("1 kHz", "rate", 1000.0),
    ],
)
def test_value_with_its_unit_is_given_in_si(text: str, quantity: str, si: float) -> None:
    assert parse_value(text, quantity=quantity) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize("text", ["0,6 m", "1,200 rpm", "abc", "", "m", "nan m", "inf m", "1e999 m"])
def test_number_that_cannot_be_read_is_refused_and_never_guessed(text: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_value(text, quantity="length")
    assert caught.value.code == "bad-number"


def test_number_without_a_needed_unit_is_refused() -> None:
    with pytest.raises(UnitError) as caught:
        parse_value("0.6", quantity="length")
    assert caught.value.code == "missing-unit"


@pytest.mark.parametrize(
    ("head", "parts"),
    [
        ("diameter [in]", ("diameter", "in")),
        ("  max speed [ rpm ] ", ("max speed", "rpm")),
        ("maker", ("maker", None)),
        ("x []", ("x", "")),
        ("no-load current[A]", ("no-load current", "A")),
    ],
)
def test_head_carries_its_unit_in_square_brackets(head: str, parts: tuple[str, str | None]) -> None:
    assert split_head(head) == parts


@given(st.sampled_from(sorted(UNITS)), st.floats(min_value=-1e6, max_value=1e6))
def test_there_and_back_returns_the_reading(symbol: str, reading: float) -> None:
    unit = parse_unit(symbol)
    # A degree's zero is far from the reading's, so rounding is relative to that.
    assert unit.from_si(unit.to_si(reading)) == pytest.approx(reading, rel=1e-12, abs=1e-10 if unit.offset else 1e-300)


@given(st.floats(min_value=0.0, max_value=1e5), st.sampled_from(["gf", "kgf", "N", "lbf", "ozf", "mN"]))
def test_forces_keep_their_order_in_si(value: float, symbol: str) -> None:
    assert parse_value(f"{value!r} {symbol}", quantity="thrust") == pytest.approx(value * parse_unit(symbol).factor)


def test_conversion_takes_arrays() -> None:
    readings = np.array([[0.0, 1.0], [np.nan, -2.0]])
    np.testing.assert_array_equal(parse_unit("gf").to_si(readings), readings * 0.001 * STANDARD_GRAVITY)


def test_counts_times_their_scale_are_a_force() -> None:
    scaled = parse_unit("count") * parse_unit("0.4833 gf/count")
    check_dimension(scaled, "thrust")
    assert scaled.to_si(100.0) == pytest.approx(48.33 * 0.00980665)
    with pytest.raises(ValueError, match="offset"):
        parse_unit("degC") * parse_unit("m")
