"""Each kind of evidence by itself: words, told units, ranges, movement, clocks."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.ingest.mapping.heads import file_evidence, head_evidence
from isothrust.ingest.mapping.movement import clock_evidence, movement_evidence, movements
from isothrust.ingest.mapping.pairs import paired_evidence
from isothrust.ingest.mapping.ranges import plausible, unit_choices
from isothrust.ingest.mapping.throttles import found_throttle, is_quiet
from isothrust.ingest.mapping.units import quantities_of_unit, told_units, unit_for
from isothrust.ingest.mapping.values import Facts, facts_of
from isothrust.records.mapping import Evidence
from isothrust.tables.heads import Head


def best(evidence: list[Evidence]) -> str | None:
    """The quantity with the greatest weight, '' for no channel, None without evidence."""
    totals: dict[str, float] = {}
    for each in evidence:
        totals[each.quantity] = totals.get(each.quantity, 0.0) + each.weight
    return max(totals, key=lambda name: totals[name], default=None)


def facts(values: np.ndarray) -> Facts:
    found = facts_of([np.asarray(values, dtype=float)], [1])
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("head", "quantity"),
    [
        ("Zeit", "time"),
        ("temps", "time"),
        ("tiempo", "time"),
        ("Drehzahl", "speed"),
        ("vitesse", "speed"),
        ("motorRPM", "speed"),
        ("ω", "speed"),
        ("Schub", "thrust"),
        ("poussée", "thrust"),
        ("empuje", "thrust"),
        ("Load Cell", "thrust"),
        ("Drehmoment", "torque"),
        ("coppia", "torque"),
        ("Spannung", "voltage"),
        ("Batt. Volts", "voltage"),
        ("courant", "current"),
        ("strøm", "current"),
        ("Leistung", "electrical-power"),
        ("ESC_PWM", "throttle"),
        ("Gas", "throttle"),
        ("IMU[0].AccX", "acceleration"),
        ("Luftdruck", "pressure"),
        ("humidity", "humidity"),
        ("油门", "throttle"),
        ("Ток", "current"),
        ("i_batt", "current"),
        ("sample no", ""),
        ("speed set-point", ""),
        ("ESC temperature", ""),
        ("efficiency", ""),
        ("mAh used", ""),
        ("sqrt(ax**2+ay**2)", ""),
        ("output power", ""),
        ("Wind speed", ""),
        ("Air Speed", ""),
        ("battery percent", ""),
        ("THROTTLE_PERCENT", "throttle"),
        ("ESC signal", "throttle"),
        ("flubber", None),
        ("", None),
    ],
)
def test_words_of_a_head_speak_for_a_quantity_or_for_none(head: str, quantity: str | None) -> None:
    assert best(head_evidence(head)) == quantity


def test_a_word_in_every_file_name_speaks_and_one_in_some_does_not() -> None:
    assert best(file_evidence(("thrust_1.csv", "thrust_2.csv"))) == "thrust"
    assert file_evidence(("thrust_1.csv", "r2.csv")) == []


@pytest.mark.parametrize(
    ("head", "quantity", "unit"),
    [
        ("thrust [gf]", "thrust", "gf"),
        ("thrust (N)", "thrust", "N"),
        ("weight [g]", "thrust", "gf"),
        ("thrust_kg", "thrust", "kgf"),
        ("voltage_mv", "voltage", "mV"),
        ("current_a", "current", "A"),
        ("torque_ncm", "torque", "Ncm"),
        ("t_ms", "time", "ms"),
        ("cmd_us", "throttle", "us"),
        ("throttle_pct", "throttle", "%"),
        ("Drehzahl U/min", "speed", "rpm"),
        ("Drehzahl U/s", "speed", "rev/s"),
        ("velocity [Hz]", "speed", "rev/s"),
        ("acc_x_m_s2", "acceleration", "m/s2"),
        ("acc [g]", "acceleration", "gn"),
        ("Amps", "current", "A"),
        ("RPM", "speed", "rpm"),
        ("RPM1", "speed", "rpm"),
        ("ESC signal (µs)", "throttle", "us"),
        ("Schub/g", "thrust", "gf"),
        ("torque_ozin", "torque", "ozf in"),
        ("推力(g)", "thrust", "gf"),
        ("mV", "voltage", "mV"),
        # None of these tells a unit of its quantity.
        ("thrust", "thrust", None),
        ("thrust_1", "thrust", None),
        ("Voltage_1", "voltage", None),
        ("thrust [V]", "thrust", None),
        ("torque [rpm]", "torque", None),
        ("cell_a", "thrust", None),
        ("left_m", "thrust", None),
        ("cell A1", "current", None),
        ("N2", "thrust", None),
        ("rpm_raw", "speed", None),
        ("V", "voltage", None),
        # A factor beside the name: the unit is not worth what it says.
        ("RPM x1000", "speed", None),
        ("RPM/10", "speed", None),
        ("rpm (thousands)", "speed", None),
        ("Volts x10 [V]", "voltage", None),
        ("Amps (x10)", "current", None),
        ("thrust (x10 g)", "thrust", None),
        # A sensor's range, not the unit of its readings.
        ("Current sensor 50A", "current", None),
        ("Current (30A)", "current", None),
        ("Load cell 5 kg", "thrust", None),
        ("50A", "current", None),
        # A number in the place of a unit is told by brackets alone.
        ("current [0.1 A]", "current", "0.1 A"),
        ("voltage (0.1 V)", "voltage", "0.1 V"),
        ("speed [kRPM]", "speed", "1000 rpm"),
        ("thrust_2_g", "thrust", "gf"),
        ("Schub in N", "thrust", "N"),
        ("Moment in N", "torque", "N"),
        ("speed_rad_s", "speed", "rad/s"),
        ("eRPM", "speed", "rpm"),
    ],
)
def test_a_unit_is_told_by_the_head_or_not_at_all(head: str, quantity: str, unit: str | None) -> None:
    told = unit_for(told_units(Head.of_log(head), in_row=False), quantity)
    assert (told.unit if told else None) == unit


def test_a_unit_of_one_channel_speaks_for_that_channel() -> None:
    def of(head: str) -> tuple[str, ...]:
        return quantities_of_unit(told_units(Head.of_log(head), in_row=False))

    assert of("x [rpm]") == ("speed",)
    assert of("x [V]") == ("voltage",)
    assert of("x [degC]") == ("temperature",)
    assert set(of("x [N]")) == {"thrust", "torque"}
    assert of("x") == ()


def test_a_name_such_as_volts_is_no_unit_where_the_readings_deny_it() -> None:
    (told,) = told_units(Head.of_log("Batt. Volts"), in_row=False)
    assert told.named
    assert plausible("voltage", told.unit, facts(np.linspace(15, 16.8, 50)))
    assert not plausible("voltage", told.unit, facts(np.linspace(15_000, 16_800, 50)))


def units(quantity: str, values: np.ndarray, *, raw: bool = False) -> list[str]:
    return [choice.unit for choice in unit_choices(quantity, facts(values), raw=raw)]


def test_units_are_offered_by_what_they_would_make_of_the_readings() -> None:
    assert units("voltage", np.linspace(14_900, 16_800, 50)) == ["mV"]
    assert units("speed", np.linspace(0, 25_000, 50)) == ["rpm"]
    assert units("pressure", np.linspace(1012, 1013, 50))[0] == "hPa"
    assert units("throttle", np.linspace(1000, 2000, 50))[0] == "us"
    assert units("throttle", np.linspace(0, 1, 50)) == ["1"]
    assert units("thrust", np.linspace(8_000_000, 8_400_000, 50), raw=True) == ["count"]
    assert units("time", np.arange(500.0) * 2.0)[:2] == ["s", "ms"]


def test_a_choice_of_unit_says_what_the_readings_would_be() -> None:
    (first, *_) = unit_choices("thrust", facts(np.linspace(0, 1180.5, 50)), raw=False)
    assert (first.unit, first.meaning) == ("gf", "values to 1180 gf")
    rate = next(choice for choice in unit_choices("time", facts(np.arange(99.0)), raw=False) if choice.unit == "ms")
    assert rate.meaning == "1000 rows a second"


def test_a_clock_goes_up_all_the_time_and_noise_does_not() -> None:
    noise = np.random.default_rng(1).normal(size=200)
    assert best(clock_evidence(0, facts(np.arange(200.0)))) == "time"
    assert "1970" in clock_evidence(0, facts(1.58e9 + np.arange(200.0) * 1.1))[0].words
    assert [each.weight < 0 for each in clock_evidence(0, facts(noise))] == [True]
    assert clock_evidence(0, facts(np.repeat(np.arange(20.0), 10))) == []


@pytest.fixture
def bench() -> list[np.ndarray]:
    """Throttle, speed, load, current, voltage, counter: a ramp with what its physics say of each, and some noise."""
    rng = np.random.default_rng(7)
    up = np.concatenate([np.zeros(60), np.linspace(0, 100, 501), np.zeros(60)])
    throttle = np.round(up, 1)
    share = up / 100
    noise = [rng.normal(scale=0.004, size=up.size) for _ in range(4)]
    return [
        throttle,
        9000 * (share + noise[0]),
        900 * (share**2 + noise[1]),
        30 * (share**2.7 + noise[2]),
        16 - 1.2 * (share**2.7 + noise[3]),
        np.maximum.accumulate(np.floor(np.cumsum(share**2.7) / 10)),
    ]


def test_the_throttle_is_found_by_its_quiet_and_by_what_follows_it(bench: list[np.ndarray]) -> None:
    known = {place: facts(values) for place, values in enumerate(bench)}
    assert [is_quiet(values) for values in bench[:5]] == [True, False, False, False, False]
    assert found_throttle(bench, known, frozenset()) == 0
    # Nothing follows: no throttle.
    rng = np.random.default_rng(2)
    alone = [bench[0], rng.normal(size=bench[0].size), rng.normal(size=bench[0].size)]
    assert found_throttle(alone, {place: facts(values) for place, values in enumerate(alone)}, frozenset()) is None


def test_movement_with_the_throttle_tells_speed_load_current_and_supply(bench: list[np.ndarray]) -> None:
    known = {place: facts(values) for place, values in enumerate(bench)}
    moved = movements([bench], 0, known)
    # By construction: powers 1, 2 and 2.7 of the throttle.
    assert [moved[place].exponent for place in (1, 2, 3)] == pytest.approx([1.0, 2.0, 2.7], abs=0.1)
    told = {place: best(found) for place, found in movement_evidence(moved, known, frozenset()).items()}
    assert told == {1: "speed", 2: "thrust", 3: "current", 4: "voltage", 5: ""}


def test_what_sags_as_the_throttle_rises_is_no_current_whatever_its_head_says(bench: list[np.ndarray]) -> None:
    known = {place: facts(values) for place, values in enumerate(bench)}
    sagging = movement_evidence(movements([bench], 0, known), known, frozenset())[4]
    assert sum(each.weight for each in sagging if each.quantity == "current") <= -3.0
    rising = movement_evidence(movements([bench], 0, known), known, frozenset())[3]
    assert sum(each.weight for each in rising if each.quantity == "current") > 0.0


def test_two_loads_of_one_shape_are_not_told_apart(bench: list[np.ndarray]) -> None:
    columns = [*bench[:4], bench[2] * 0.01]
    known = {place: facts(values) for place, values in enumerate(columns)}
    found = movement_evidence(movements([columns], 0, known), known, frozenset())
    for place in (2, 4):
        weights = {each.quantity: each.weight for each in found[place]}
        assert weights["thrust"] == weights["torque"]


def test_a_thrust_that_falls_moves_with_the_throttle_all_the_same(bench: list[np.ndarray]) -> None:
    columns = [bench[0], bench[1], -bench[2], bench[3]]
    known = {place: facts(values) for place, values in enumerate(columns)}
    moved = movements([columns], 0, known)
    assert moved[2].correlation < -0.8
    assert best(movement_evidence(moved, known, frozenset())[2]) == "thrust"


def test_without_a_throttle_supply_thrust_and_current_are_told_by_each_other(bench: list[np.ndarray]) -> None:
    thrust, supply = bench[2] / 1000, bench[4]
    current = 30 * np.clip(bench[2] / 900, 0, None) ** 1.5
    columns = [np.arange(thrust.size) + 1e6, supply, thrust, current]
    known = {place: facts(values) for place, values in enumerate(columns)}
    told = {place: best(found) for place, found in paired_evidence(columns, known, frozenset({0})).items()}
    assert told == {1: "voltage", 2: "thrust", 3: "current"}
    # Without a supply that sags nothing is said.
    flat = [columns[0], np.full(thrust.size, 12.0), thrust, current]
    assert paired_evidence(flat, {place: facts(values) for place, values in enumerate(flat)}, frozenset({0})) == {}
