"""JSON: shown units, the fields that were promised, and no number that JSON does not have."""

from __future__ import annotations

import json
import math

import pytest

from isothrust.present.objects import comparison_object, finding_object, json_text, result_object
from isothrust.quantities import MEASURANDS, parse_value
from isothrust.records.finding import Finding
from isothrust.records.result import Condition
from isothrust.reduction.comparing import Grounds, compare_results
from made_results import result

RESULT_FIELDS = (
    "measurand, condition, design, sample, campaign, runs, value, unit, standard_uncertainty, interval, "
    "interval_of_design, interval_as_sold, degrees_of_freedom, budget, flags, absent, method_version"
).split(", ")


def test_a_result_has_the_promised_fields_in_order() -> None:
    assert list(result_object(result("Auk", 60.0, {"run a": 0.5}))) == RESULT_FIELDS


def test_values_budgets_and_conditions_are_in_the_unit_shown() -> None:
    # 1 N/W is 1000/9.80665 gf/W
    one = result("Auk", 0.07, {"run a": 0.001}, measurand="shaft-efficiency")
    shown = result_object(one)
    per = 1000 / 9.80665
    assert shown["unit"] == "gf/W"
    assert shown["value"] == pytest.approx(0.07 * per)
    assert shown["standard_uncertainty"] == pytest.approx(0.001 * per)
    assert shown["budget"][0]["contribution"] == pytest.approx(0.001 * per)  # type: ignore[index]
    assert shown["interval"] == pytest.approx([(0.07 - 0.00196) * per, (0.07 + 0.00196) * per])
    assert shown["condition"] == {"quantity": "thrust", "value": pytest.approx(500.0), "unit": "gf"}


@pytest.mark.parametrize(("text", "shown"), [("500 gf", 500.0), ("1234.5678 gf", 1234.5678), ("0.1 gf", 0.1)])
def test_what_was_typed_comes_back_as_it_was_typed(text: str, shown: float) -> None:
    at = Condition("thrust", parse_value(text, quantity="thrust"))
    value = result("Auk", at.value, {"run a": 0.5}, measurand="thrust", condition=at)
    assert result_object(value)["condition"] == {"quantity": "thrust", "value": shown, "unit": "gf"}
    assert result_object(value)["value"] == shown


def test_an_absent_result_is_null_with_its_reason() -> None:
    shown = result_object(result("Auk", None))
    for name in ("value", "standard_uncertainty", "interval", "degrees_of_freedom"):
        assert shown[name] is None
    assert shown["absent"] == "the rig has no torque channel"


def test_infinite_degrees_of_freedom_are_null_and_the_text_is_strict_json() -> None:
    one = result("Auk", 60.0, {"run a": 0.5})
    assert one.degrees_of_freedom == math.inf
    text = json_text([result_object(one)])
    assert json.loads(text)[0]["degrees_of_freedom"] is None
    assert json.loads(text)[0]["budget"][0]["degrees_of_freedom"] is None
    assert "Infinity" not in text


def test_a_number_that_json_lacks_is_never_written() -> None:
    with pytest.raises(ValueError, match="JSON"):
        json_text([{"value": math.nan}])


@pytest.mark.parametrize("measurand", sorted(MEASURANDS))
def test_every_measurand_can_be_written(measurand: str) -> None:
    kind = MEASURANDS[measurand].condition
    condition = None if kind is None else Condition("speed" if kind == "speed" else "thrust", 5.0)
    text = json_text([result_object(result("Auk", 0.5, {"run a": 0.01}, measurand=measurand, condition=condition))])
    assert json.loads(text)[0]["unit"]


def test_a_finding_has_the_promised_fields_in_order() -> None:
    finding = Finding("spikes", "warning", "3 spikes", "r1", "thrust", 1.0, 2.0, 3, "0.1 %", "left out")
    expected = "run, code, severity, channel, start, end, count, effect, done, message".split(", ")
    assert list(finding_object(finding)) == expected


def test_a_comparison_can_be_written() -> None:
    results = [result("Auk", 60.0, {"run a": 0.5}), result("Gull", 50.0, {"run g": 0.5}), result("Tern", None)]
    (comparison,) = compare_results(results, Grounds({}, ()))
    shown = json.loads(json_text([comparison_object(comparison)]))[0]
    assert [rank["result"]["design"] for rank in shown["ranks"]] == ["Gull", "Auk"]
    assert shown["absent"][0]["design"] == "Tern"
    assert shown["pairs"][0]["difference"] == pytest.approx(-10.0)
    assert shown["pairs"][0]["degrees_of_freedom"] is None
