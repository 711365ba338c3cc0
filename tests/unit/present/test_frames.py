"""Data frames: a row for each record, the numbers and units of JSON, the same columns whatever there is."""

from __future__ import annotations

import math
from dataclasses import replace

import polars as pl
import pytest

import made_results
import made_runs
from isothrust.present.frames import budget_frame, differences_frame, findings_frame, ranking_frame, results_frame
from isothrust.records.finding import Finding
from isothrust.records.result import Comparison, Pair, Rank

BUDGET = {"rig loft torque scale": 0.4, "run r01 noise": -0.3}
RESULT = made_results.result("Auk", 61.0, BUDGET)
LACKING = made_results.result("Gull", None)


def compared() -> Comparison:
    first, second = RESULT, made_results.result("Tern", 64.0, {"rig loft torque scale": 0.42})
    pair = Pair("Auk", "Tern", -3.0, -3 / 64, 0.4, math.inf, 0.9, True, "of the design")
    ranks = (Rank(1, (), first), Rank(2, ("Gull",), second))
    return Comparison("shaft-power", made_results.AT_500GF, "7 inch, 2 blades", False, ranks, (LACKING,), (pair,), ())


def test_a_result_is_a_row_in_shown_units() -> None:
    (row,) = results_frame([RESULT]).to_dicts()
    assert (row["measurand"], row["value"], row["unit"]) == ("shaft-power", 61.0, "W")
    assert (row["condition"], row["condition_value"], row["condition_unit"]) == ("thrust", 500.0, "gf")
    assert row["standard_uncertainty"] == pytest.approx(0.5)
    assert (row["low"], row["high"]) == pytest.approx((61.0 - 1.96 * 0.5, 61.0 + 1.96 * 0.5))
    assert row["degrees_of_freedom"] is None, "infinite"
    assert row["runs"] == ["Auk-1"]


def test_an_efficiency_is_given_in_the_trade_s_unit() -> None:
    (row,) = results_frame([made_results.result("Auk", 0.0980665, measurand="shaft-efficiency")]).to_dicts()
    assert (row["value"], row["unit"]) == (pytest.approx(10.0), "gf/W")


def test_what_is_not_known_is_null_with_its_reason() -> None:
    (row,) = results_frame([LACKING]).to_dicts()
    assert [row[name] for name in ("value", "low", "high", "low_of_design", "standard_uncertainty")] == [None] * 5
    assert row["absent"] == "the rig has no torque channel"


def test_a_figure_of_no_condition_has_none() -> None:
    (row,) = results_frame([made_results.result("Auk", 9.0, measurand="peak-thrust", condition=None)]).to_dicts()
    assert [row[name] for name in ("condition", "condition_value", "condition_unit")] == [None] * 3


def test_squares_of_a_budget_add_up_to_the_uncertainty() -> None:
    frame = budget_frame([RESULT, LACKING])
    assert frame["key"].to_list() == list(BUDGET)
    assert frame["contribution"].to_list() == [0.4, -0.3]
    assert math.sqrt(sum(c * c for c in frame["contribution"])) == pytest.approx(0.5)
    assert frame["unit"].unique().to_list() == ["W"]


def test_a_ranking_keeps_places_and_ties() -> None:
    frame = ranking_frame([compared()])
    assert frame.select("place", "design", "value").rows() == [(1, "Auk", 61.0), (2, "Tern", 64.0)]
    assert frame["tied_with"].to_list() == [[], ["Gull"]]
    assert frame["class"].unique().to_list() == ["7 inch, 2 blades"]


def test_differences_say_which_are_real() -> None:
    (row,) = differences_frame([compared()]).to_dicts()
    assert (row["first"], row["second"], row["difference"], row["unit"]) == ("Auk", "Tern", -3.0, "W")
    assert (row["half_width"], row["real"], row["campaign"]) == (0.9, True, "spring")


def test_a_finding_is_a_row_with_its_run() -> None:
    finding = Finding("rotor-slipped", "fail", "the propeller slipped", "r01", "speed", 2.0, 3.5, 12)
    (row,) = findings_frame([made_runs.run("r01", findings=(finding,))]).to_dicts()
    assert (row["campaign"], row["run"], row["design"]) == ("spring", "r01", "Auk")
    assert (row["code"], row["severity"], row["start"], row["end"], row["count"]) == (
        "rotor-slipped",
        "fail",
        2.0,
        3.5,
        12,
    )


@pytest.mark.parametrize(
    ("empty", "full"),
    [
        (results_frame([]), results_frame([RESULT])),
        (budget_frame([]), budget_frame([RESULT])),
        (ranking_frame([]), ranking_frame([compared()])),
        (differences_frame([]), differences_frame([compared()])),
        (findings_frame([]), findings_frame([made_runs.run(findings=(made_runs.failed("r01"),))])),
    ],
)
def test_columns_do_not_depend_on_what_there_is(empty: pl.DataFrame, full: pl.DataFrame) -> None:
    assert empty.schema == full.schema
    assert empty.height == 0
    assert full.height > 0


def test_comparison_of_nothing_gives_no_row() -> None:
    nothing = replace(compared(), ranks=(), pairs=())
    assert ranking_frame([nothing]).height == differences_frame([nothing]).height == 0
