"""Rows of a chart: shown units, gaps, who is told apart, ties, cut bands."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from isothrust.present.charts.captions import (
    Subject,
    band_words,
    curve_caption,
    ranking_caption,
    recording_caption,
)
from isothrust.present.charts.catalogue import CHARTS
from isothrust.present.charts.curve_rows import curve_datasets, is_cut
from isothrust.present.charts.drawing_objects import drawing_objects
from isothrust.present.charts.ranking_rows import ranking_datasets
from isothrust.present.charts.recording_data import nice_ticks, recording_datasets, recording_object
from isothrust.records.picture import RunPicture, Span, Trace
from isothrust.records.result import Condition, Result
from made_results import result
from support.drawings import NAMES, curve_drawing, picture, power_comparison, ranking_drawing, recording_drawing

GF = 9.80665e-3
SUBJECT = Subject("spring", "7 inch, 2 blades", 1.225)
EFFICIENCY = CHARTS["shaft-efficiency"]


def at(thrust_gf: float, value: float | None, design: str = "auk", **others: object) -> Result:
    condition = Condition("thrust", thrust_gf * GF)
    return result(design, value, {"run": 0.001}, measurand="shaft-efficiency", condition=condition, **others)


def test_values_stand_in_the_units_of_the_axes() -> None:
    rows = curve_datasets(EFFICIENCY, [at(500.0, 7.0 * GF)], {"auk": 3}, point=500.0 * GF)
    (point,) = rows["chosen"]
    assert (point["design"], point["slot"], point["x"], point["y"]) == ("auk", 3, 500.0, 7.0)
    # made_results: an interval of 1.96 standard uncertainties on either side
    assert point["low"] == pytest.approx(7.0 - 1.96 * 0.001 / GF, rel=1e-5)
    assert point["high"] == pytest.approx(7.0 + 1.96 * 0.001 / GF, rel=1e-5)
    assert rows["point"] == [{"x": 500.0}]


def test_a_gap_stays_a_gap_and_what_lies_beyond_a_curve_is_left_out() -> None:
    values = [None, 7.0 * GF, None, 6.0 * GF, None, None]
    results = [at(100.0 * (1 + place), value) for place, value in enumerate(values)]
    rows = curve_datasets(EFFICIENCY, results, {"auk": 0})
    assert [(row["x"], row["y"]) for row in rows["chosen"]] == [(200.0, 7.0), (300.0, None), (400.0, 6.0)]
    assert rows["chosen"][1]["low"] is rows["chosen"][1]["high"] is None
    assert rows["ends"] == [{"design": "auk", "slot": 0, "x": 400.0, "y": 6.0}]


def test_who_is_not_told_apart_is_context_and_has_no_end() -> None:
    rows = curve_datasets(EFFICIENCY, [at(500.0, 7.0 * GF), at(500.0, 6.0 * GF, "gull")], {"auk": 0})
    assert rows["context"] == [{"design": "gull", "x": 500.0, "y": 6.0}]
    assert [row["design"] for row in rows["ends"]] == ["auk"]


def test_a_design_without_any_value_is_not_drawn() -> None:
    rows = curve_datasets(EFFICIENCY, [at(500.0, None)], {"auk": 0})
    assert rows == {"context": [], "chosen": [], "ends": [], "point": []}


def test_context_in_groups_carries_the_group() -> None:
    rows = curve_datasets(EFFICIENCY, [at(500.0, 7.0 * GF)], {}, groups={"auk": 2}, labels={"auk": "auk, 3 blades"})
    assert rows["context"] == [{"design": "auk", "slot": 2, "x": 500.0, "y": 7.0}]


def test_the_interval_is_that_of_the_design_or_as_tested_where_there_is_none() -> None:
    known = at(500.0, 7.0 * GF, interval_of_design=(6.0 * GF, 8.0 * GF))
    unknown = at(500.0, 7.0 * GF, interval_of_design=None, interval=(6.5 * GF, 7.5 * GF))
    for one, low in ((known, 6.0), (unknown, 6.5)):
        assert curve_datasets(EFFICIENCY, [one], {"auk": 0})["chosen"][0]["low"] == pytest.approx(low)
    assert band_words([known]) == "95 % interval of the design"
    assert band_words([unknown]) == "95 % interval as tested, these samples only"
    assert "or as tested" in band_words([known, unknown])


def test_a_band_far_wider_than_the_others_is_said_to_be_cut() -> None:
    usual = [{"y": 10.0, "low": 9.0, "high": 11.0} for _ in range(9)]
    assert not is_cut(usual)
    assert is_cut([*usual, {"y": 10.0, "low": 2.0, "high": 18.0}])
    assert not is_cut([*usual, {"y": None, "low": None, "high": None}])
    assert not is_cut([*usual, {"y": 10.0, "low": 8.9999, "high": 10.9999}]), "rounding is no cut"


def test_a_ranking_joins_those_that_are_tied_by_bars_that_do_not_touch() -> None:
    rows = ranking_datasets(power_comparison(4), {"auk": 0, "brent": 1})
    assert [row["design"] for row in rows["ranks"]] == list(NAMES[:4])
    assert [row["slot"] for row in rows["ranks"]] == [0, 1, None, None]
    labels = [row["label"] for row in rows["ranks"]]
    # power_comparison: each tied with its neighbours alone
    assert [(row["first"], row["last"]) for row in rows["ties"]] == list(pairwise(labels))
    assert [row["lane"] for row in rows["ties"]] == [0, 1, 0]


def test_a_caption_says_what_is_shown_of_whom_in_which_air_and_what_the_band_is() -> None:
    results = [at(500.0, 7.0 * GF), at(500.0, 6.0 * GF, "gull"), at(500.0, None, "tern")]
    caption = curve_caption(EFFICIENCY, SUBJECT, results, shown=["auk"], point=Condition("thrust", 500.0 * GF))
    assert caption.title == "Shaft efficiency against thrust"
    (line,) = caption.lines
    for words in ("Campaign spring", "7 inch, 2 blades", "standard air, 1.225 kg/m³"):
        assert words in line
    notes = " ".join(caption.notes)
    for words in ("95 % interval of the design", "1 other design", "500 gf", "does not begin at zero"):
        assert words in notes
    assert "Not shown: tern (the rig has no torque channel)." in notes


def test_air_of_the_day_is_not_called_standard_air() -> None:
    results = [at(500.0, 7.0 * GF, flags=("air-of-the-day",))]
    caption = curve_caption(EFFICIENCY, SUBJECT, results, shown=["auk"], point=None)
    assert "air of the day" in caption.lines[0]
    assert "standard" not in caption.lines[0]


def test_a_ranking_says_which_way_is_better_and_what_bars_mean() -> None:
    caption = ranking_caption(power_comparison(4), SUBJECT)
    assert caption.title == "Shaft power at 500 gf, less is better"
    assert "tied" in " ".join(caption.notes)
    lone = ranking_caption(power_comparison(1), SUBJECT)
    assert "tied" not in " ".join(lone.notes)


def test_many_designs_without_a_figure_are_counted_and_not_listed() -> None:
    results = [at(500.0, 7.0 * GF), *(at(500.0, None, f"d{number}") for number in range(9))]
    notes = curve_caption(EFFICIENCY, SUBJECT, results, shown=["auk"], point=None).notes
    assert "Not shown either: 6 more designs." in notes


def test_a_picture_names_findings_that_hold_at_no_time() -> None:
    whole = replace(picture(Span("spikes", "warning", "thrust", 3.0, 3.0, "")), elsewhere=("air-outside-range",))
    caption = recording_caption(whole)
    assert caption.title == "Recording of run r07, 1 finding"
    assert any("air-outside-range" in line for line in caption.lines)


def test_a_panel_each_its_span_in_the_panel_of_its_channel_and_a_line_that_names_it() -> None:
    rows = recording_datasets(picture(Span("spikes", "warning", "thrust", 3.0, 3.5, "five readings")))
    assert [row["title"] for row in rows["panels"]] == ["Throttle [%]", "Speed [rpm]", "Thrust [gf]", "Torque [N m]"]
    (span,) = rows["spans"]
    assert (span["panel"], span["start"], span["end"], span["code"]) == (2, 3.0, 3.5, "spikes")
    assert (span["top"], span["bottom"]) == (rows["panels"][2]["top"], rows["panels"][2]["bottom"])
    (lane,) = rows["lanes"]
    assert lane["text"] == "warning: spikes in thrust, 3 to 3.5 s"


def test_a_finding_of_the_clock_is_shaded_in_every_panel() -> None:
    rows = recording_datasets(picture(Span("clock-backward", "warning", None, 3.0, 3.0, "")))
    assert [row["panel"] for row in rows["spans"]] == [0, 1, 2, 3]


def test_the_gravest_finding_is_named_first_and_too_many_are_counted() -> None:
    notes = [Span("zero-drift", "note", "torque", float(start), 9.0, "") for start in range(8)]
    rows = recording_datasets(picture(*notes, Span("spikes", "fail", "thrust", 8.0, 8.0, "")))
    texts = [str(row["text"]) for row in rows["lanes"]]
    assert texts[0].startswith("fail: spikes")
    assert len(texts) == 6
    assert texts[-1] == "and 4 more"


def test_the_picture_of_a_run_is_small_enough_for_a_page_of_a_hundred() -> None:
    noise = np.random.default_rng(1)
    traces = tuple(
        Trace(name, np.linspace(0.0, 15.5, 362), noise.normal(5.0, 3.0, 362))
        for name in ("throttle", "speed", "thrust", "torque", "current")
    )
    message = "a message of usual length " * 3
    spans = tuple(Span("spikes", "warning", "thrust", float(at), float(at), message) for at in range(5))
    whole = recording_object(RunPicture("r", "c", "d", "s", "ramp", "2026-03-01", traces, spans))
    assert len(json.dumps(whole, separators=(",", ":"))) <= 25_000


def test_the_page_gets_the_same_numbers_in_columns() -> None:
    whole = picture(Span("spikes", "warning", "thrust", 3.0, 3.5, ""))
    columns, rows = recording_object(whole), recording_datasets(whole)
    traces = columns["traces"]
    assert isinstance(traces, list)
    spelled = [
        {"panel": trace["panel"], "x": x, "value": value}
        for trace in traces
        for x, value in zip(trace["x"], trace["value"], strict=True)
    ]
    assert spelled == rows["trace"]
    assert {name: columns[name] for name in ("panels", "ticks", "spans", "lanes")} == {
        name: rows[name] for name in ("panels", "ticks", "spans", "lanes")
    }


@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (-3.2, 14210.0), (6.99, 7.01), (-0.002, 0.0004), (1e5, 3e5)])
def test_ticks_are_few_round_and_inside(low: float, high: float) -> None:
    ticks = nice_ticks(low, high)
    assert 2 <= len(ticks) <= 6
    assert low <= ticks[0] < ticks[-1] <= high
    step = ticks[1] - ticks[0]
    digits = f"{step:.6e}".split("e")[0].rstrip("0").rstrip(".")
    assert digits in {"1", "2", "2.5", "5"}


def test_a_channel_that_never_moves_has_a_panel_all_the_same() -> None:
    still = Trace("throttle", np.array([0.0, 9.0]), np.array([0.5, 0.5]))
    (panel,) = recording_datasets(RunPicture("r", "c", "d", "s", "holds", "", (still,)))["panels"]
    assert panel["low"] < 50.0 < panel["high"]  # type: ignore[operator]


def test_what_is_drawn_can_be_had_as_rows_under_the_titles_of_the_axes() -> None:
    rows = drawing_objects(curve_drawing("thrust", designs=3, told_apart=2))
    assert {"design", "Speed [rpm]", "Thrust [gf]", "interval", "told_apart"} == set(rows[0])
    assert {row["design"] for row in rows if row["told_apart"]} == {"auk", "brent"}
    assert {row["design"] for row in rows if not row["told_apart"]} == {"crake"}
    assert set(drawing_objects(ranking_drawing())[0]) == {
        "place",
        "design",
        "Shaft power [W]",
        "interval",
        "told_apart",
    }
    assert set(drawing_objects(recording_drawing())[0]) == {"channel", "time [s]", "value"}
