from __future__ import annotations

import re
import subprocess
import sys

import pytest

from isothrust.quantities import CHANNELS, MEASURANDS, OF_HEARING, QUANTITIES, Dimension, parse_unit
from isothrust.quantities.dimension import _NAMED


@pytest.mark.parametrize("name", sorted(QUANTITIES))
def test_si_unit_and_shown_unit_measure_the_quantity(name: str) -> None:
    quantity = QUANTITIES[name]
    si = parse_unit(quantity.si, quantity=name)
    assert (si.factor, si.offset) == (1.0, 0.0)
    assert parse_unit(quantity.shown, quantity=name).dimension == quantity.dimension
    assert quantity.description


@pytest.mark.parametrize("name", sorted(MEASURANDS))
def test_measurand_is_shown_in_a_unit_of_its_own_dimension(name: str) -> None:
    measurand = MEASURANDS[name]
    if measurand.si in OF_HEARING:
        assert measurand.shown == measurand.si
        assert measurand.shown_unit.factor == 1.0
        return
    si = parse_unit(measurand.si)
    assert si.factor == 1.0
    assert measurand.shown_unit.dimension == si.dimension
    assert measurand.shown_unit.offset == 0.0


def test_names_are_in_kebab_case_and_stand_under_themselves() -> None:
    for name, thing in (*QUANTITIES.items(), *MEASURANDS.items()):
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", name)
        assert thing.name == name


def test_measurands_are_those_of_the_three_columns() -> None:
    at_speed = {name for name, measurand in MEASURANDS.items() if measurand.condition in {"speed", "both"}}
    at_thrust = {name for name, measurand in MEASURANDS.items() if measurand.condition in {"thrust", "both"}}
    of_a_run = {name for name, measurand in MEASURANDS.items() if measurand.condition is None}
    assert at_speed == set(
        "thrust torque shaft-power thrust-coefficient power-coefficient tip-mach figure-of-merit inflow-ratio".split()
    )
    assert at_thrust == set(
        "speed torque shaft-power electrical-power shaft-efficiency electrical-efficiency drive-efficiency current "
        "throttle "
        "figure-of-merit inflow-ratio vibration sound-level c-weighted-level blade-passing-level tonal-balance "
        "tone-to-noise-ratio prominence-ratio loudness sharpness".split()
    )
    assert of_a_run == set(
        "peak-thrust peak-electrical-power peak-current rotor-inertia propeller-inertia spin-up-rate spin-down-rate "
        "rise-time fall-time "
        "response-time response-time-down dead-time dead-time-down settling-time settling-time-down overshoot "
        "overshoot-down thrust-step-time thrust-rise-rate flutter-onset repeatability".split()
    )


def test_efficiency_is_shown_in_the_trade_unit() -> None:
    # 1 N/W is 1000/9.80665 gf/W by the definition of the gram-force.
    assert MEASURANDS["shaft-efficiency"].shown_unit.from_si(1.0) == pytest.approx(1000 / 9.80665, rel=1e-12)


def test_vibration_is_labelled_g_and_converted_as_standard_gravity() -> None:
    vibration = MEASURANDS["vibration"]
    assert vibration.label == "g"
    assert vibration.shown_unit.to_si(1.0) == 9.80665
    assert MEASURANDS["thrust"].label == "gf"


def test_channels_are_quantities() -> None:
    assert all(QUANTITIES[name] is channel for name, channel in CHANNELS.items())


@pytest.mark.parametrize(("name", "si", "dimension"), _NAMED)
def test_named_dimension_is_that_of_its_si_unit(name: str, si: str, dimension: Dimension) -> None:
    assert parse_unit(si).dimension == dimension
    assert parse_unit(si).factor == 1.0
    assert dimension.name == name


def test_unnamed_dimension_is_written_in_base_units_that_can_be_read_back() -> None:
    strange = Dimension(length=3, time=-2, count=-1)
    assert strange.si == "m3/s2 count"
    assert parse_unit(strange.si).dimension == strange
    assert Dimension(length=-1).si == "1/m"


def test_import_of_quantities_brings_no_numpy() -> None:
    told = subprocess.run(
        [sys.executable, "-c", "import sys, isothrust.quantities; print('numpy' in sys.modules)"],
        check=True,
        capture_output=True,
        text=True,
    )
    assert told.stdout.strip() == "False"
