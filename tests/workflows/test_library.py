"""Python callers get what the command line prints: frames against `--json`, arrays against budgets."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from isothrust import workflows
from isothrust.workflows import (
    MEASURANDS,
    ReduceOutcome,
    Selection,
    budget_frame,
    check_book,
    collect_results,
    compare_designs,
    curve_arrays,
    differences_frame,
    explain_figures,
    explanation_lines,
    find_target,
    findings_frame,
    parse_value,
    ranking_frame,
    reduce_book,
    results_frame,
)
from support.commands import json_of, run_command
from support.large_books import LargeBook, write_large_book
from support.source import PACKAGE

AT_500GF = Selection(("shaft-power", "shaft-efficiency", "speed"), thrusts=(parse_value("500 gf", quantity="thrust"),))
WORDS = [word for name in AT_500GF.measurands for word in ("--of", name)] + ["--at", "thrust=500gf"]
INTERVALS = {"interval": "", "interval_of_design": "_of_design", "interval_as_sold": "_as_sold"}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("library") / "book"
    write_large_book(folder, LargeBook(designs=3, samples=1, mountings=2, seed=11))
    return folder


@pytest.fixture(scope="module")
def outcome(book: Path) -> ReduceOutcome:
    return reduce_book(book)


def test_results_frame_holds_every_number_of_json(book: Path, outcome: ReduceOutcome) -> None:
    frame = results_frame(collect_results(outcome.book, outcome.runs, AT_500GF).results)
    printed = json_of("results", *WORDS, folder=book)
    assert frame.height == len(printed) == 9
    for row, told in zip(frame.to_dicts(), printed, strict=True):
        ends = {f"{end}{suffix}": told[name] for name, suffix in INTERVALS.items() for end in ("low", "high")}
        for name, interval in ends.items():
            assert row[name] == (interval[name.startswith("high")] if interval else None)
        same = ("measurand", "design", "sample", "campaign", "value", "unit", "standard_uncertainty", "runs", "flags")
        assert {name: row[name] for name in same} == {name: told[name] for name in same}
        assert (row["condition"], row["condition_value"], row["condition_unit"]) == tuple(told["condition"].values())
        assert (row["degrees_of_freedom"], row["absent"]) == (told["degrees_of_freedom"], told["absent"])


def test_budget_frame_holds_every_line_of_json(book: Path, outcome: ReduceOutcome) -> None:
    frame = budget_frame(collect_results(outcome.book, outcome.runs, AT_500GF).results)
    printed = [(told["design"], line) for told in json_of("results", *WORDS, folder=book) for line in told["budget"]]
    assert frame.height == len(printed) > 20
    for row, (design, line) in zip(frame.to_dicts(), printed, strict=True):
        assert row["design"] == design
        assert {name: row[name] for name in line} == line


def test_ranking_and_differences_are_those_of_compare(book: Path, outcome: ReduceOutcome) -> None:
    comparisons = compare_designs(outcome.book, outcome.runs, AT_500GF).comparisons
    printed = json_of("compare", *WORDS, folder=book)
    ranks = [(rank["place"], rank["result"]["design"], rank["tied_with"]) for one in printed for rank in one["ranks"]]
    assert ranking_frame(comparisons).select("place", "design", "tied_with").rows() == ranks
    pairs = [
        (p["first"], p["second"], p["difference"], p["half_width"], p["real"]) for c in printed for p in c["pairs"]
    ]
    assert differences_frame(comparisons).select("first", "second", "difference", "half_width", "real").rows() == pairs
    assert len(pairs) > 0


def test_findings_frame_holds_those_of_check(book: Path, outcome: ReduceOutcome) -> None:
    printed = json_of("check", folder=book)
    rows = findings_frame(outcome.runs).select("campaign", "run", "code", "message").rows()
    assert sorted(rows) == sorted((f["campaign"], f["run"], f["code"], f["message"]) for f in printed if f["run"])


def test_a_curve_s_variances_are_the_stored_ones(outcome: ReduceOutcome) -> None:
    speeds = np.array([parse_value(f"{rpm} rpm", quantity="speed") for rpm in (9000, 14000)])
    asked = Selection(("thrust", "torque"), speeds=tuple(speeds), per="run")
    results = collect_results(outcome.book, outcome.runs, asked).results
    assert len(results) == 2 * 2 * len(outcome.runs)
    for result in results:
        (run,) = (one for one in outcome.runs if one.run == result.runs[0])
        assert result.condition is not None
        arrays = curve_arrays(run, result.measurand, speeds)
        place = int(np.argmin(np.abs(speeds - result.condition.value)))
        # How well a mounting or a sample repeats is not the run's own, and no part of its curves.
        own = [line.contribution for line in result.budget if line.scope not in {"mounting", "sample"}]
        assert arrays.y[place] == pytest.approx(result.value, rel=1e-9)
        assert math.sqrt(arrays.covariance[place, place]) == pytest.approx(math.hypot(*own), rel=1e-9)


def test_thrust_at_two_speeds_is_correlated_through_its_scale(outcome: ReduceOutcome) -> None:
    thrust = curve_arrays(outcome.runs[0], "thrust", [900.0, 1500.0])
    correlation = thrust.covariance[0, 1] / np.prod(thrust.uncertainty)
    assert 0.3 < correlation < 1.0


def test_every_unit_of_the_frame_is_that_of_the_nomenclature(outcome: ReduceOutcome) -> None:
    frame = results_frame(collect_results(outcome.book, outcome.runs, Selection()).results)
    assert {name: MEASURANDS[name].label for name in frame["measurand"]} == dict(
        zip(frame["measurand"], frame["unit"], strict=True)
    )


def test_runs_of_an_outcome_are_those_of_the_book(outcome: ReduceOutcome) -> None:
    assert [(run.campaign, run.run) for run in outcome.runs] == list(outcome.stored)


def test_no_name_of_the_interface_is_that_of_a_file_beside_it() -> None:
    files = {path.stem for path in (PACKAGE / "workflows").glob("*.py")}
    assert len(workflows.__all__) > 20
    assert not files & set(workflows.__all__)
    assert all(hasattr(workflows, name) for name in workflows.__all__)


def test_a_name_that_the_interface_lacks_is_told_as_python_does() -> None:
    with pytest.raises(ImportError, match="cannot import name 'reduce_boook'"):
        from isothrust.workflows import reduce_boook  # noqa: F401


def test_explanation_is_the_text_that_the_command_prints(book: Path, outcome: ReduceOutcome) -> None:
    design = next(iter(outcome.book.designs))
    (found,) = explain_figures(outcome.book, outcome.runs, find_target(outcome.book, design), AT_500GF)
    printed = run_command("explain", design, *WORDS, folder=book).stdout
    assert [line.text for line in explanation_lines(found, 100)] == printed.splitlines()


def test_check_gives_the_findings_of_the_command(book: Path) -> None:
    checked = [(run.campaign, run.run, finding.code) for run in check_book(book).checked for finding in run.findings]
    printed = [(f["campaign"], f["run"], f["code"]) for f in json_of("check", folder=book) if f["run"]]
    assert sorted(checked) == sorted(printed)
    assert checked
