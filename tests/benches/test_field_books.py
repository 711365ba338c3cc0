"""Two complete books of other people's recordings: reduced, and asked through workflows and the command line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from isothrust.cli import main
from isothrust.workflows.reduce import reduce_book
from isothrust.workflows.results import collect_results
from isothrust.workflows.selection import Selection
from support.field import GF, needs_field
from support.field_books import THESIS, lever_book, thesis_book

pytestmark = needs_field

PEAKS = {"datura-2.5": 68.0, "datura-3.0": 78.7, "datura-3.5": 115.9, "datura-4.9": 169.3}
"""LOG (mine): thrust at 100 % of motor A [gf]."""


def test_a_lever_bench_book_through_the_workflows(tmp_path: Path) -> None:
    root = lever_book(tmp_path)
    outcome = reduce_book(root)
    assert (len(outcome.stored), outcome.failed) == (1, ())
    runs = [stored.reduced for stored in outcome.stored.values()]
    answer = collect_results(outcome.book, runs, Selection(measurands=("peak-thrust", "thrust")))
    by_name = {(r.measurand, r.condition and r.condition.quantity): r for r in answer.results}
    peak = by_name["peak-thrust", None]
    # LOG: 12.6 N at command 250, touching saturation.
    assert peak.value == pytest.approx(12.6, abs=0.05)
    assert "air-unknown" in peak.flags


def asked(capfd: pytest.CaptureFixture[str], root: Path, *words: str) -> tuple[int, str, str]:
    capfd.readouterr()
    with pytest.raises(SystemExit) as left:
        main([*words, "--book", str(root)])
    told = capfd.readouterr()
    assert isinstance(left.value.code, int)
    return left.value.code, told.out, told.err


def results(capfd: pytest.CaptureFixture[str], root: Path, *words: str) -> list[dict[str, Any]]:
    status, out, _ = asked(capfd, root, "results", "--json", *words)
    assert status in (0, 1)
    found: list[dict[str, Any]] = json.loads(out)
    return found


def test_a_lever_bench_book_on_the_command_line(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    root = lever_book(tmp_path)
    status, _, err = asked(capfd, root, "reduce", "--jobs", "1")
    assert status == 0
    # LOG: which air is often not known: then coefficients cannot be had, and the program should say so.
    assert "air-unknown" in err
    (thrust,) = results(capfd, root, "--of", "thrust", "--at", "speed=8715.3rpm")
    # LOG: 11.268 N at 8715 rpm (source). The curve goes through all holds, that of command 220 one among them.
    assert thrust["value"] == pytest.approx(11.268 / GF, rel=0.01)
    assert thrust["unit"] == "gf"
    assert {"air-of-the-day", "air-unknown"} & set(thrust["flags"])
    (coefficient,) = results(capfd, root, "--of", "thrust-coefficient", "--at", "speed=8000rpm")
    (torque,) = results(capfd, root, "--of", "torque", "--at", "speed=8000rpm")
    assert coefficient["value"] is coefficient["interval"] is torque["value"] is None
    assert "air" in coefficient["absent"] or "diameter" in coefficient["absent"]
    assert "torque channel" in torque["absent"]
    status, out, _ = asked(capfd, root, "check", "r1")
    assert status == 0
    assert "saturated" in out
    assert "truncated-last-line" in out


def test_a_thesis_book_on_the_command_line(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    root = thesis_book(tmp_path)
    status, _, err = asked(capfd, root, "reduce", "--jobs", "1")
    # One run of prose is refused, with its reason; the other four are reduced all the same.
    assert status == 1
    assert "prose.csv" in err
    assert "Traceback" not in err
    peaks = {one["design"]: one for one in results(capfd, root, "--of", "peak-thrust")}
    assert set(peaks) == set(THESIS)
    for design, expected in PEAKS.items():
        assert peaks[design]["value"] == pytest.approx(expected, rel=0.006)
        assert "calibration-not-stated" in peaks[design]["flags"]
    power = {
        one["design"]: one["value"] for one in results(capfd, root, "--of", "electrical-power", "--at", "thrust=60gf")
    }
    # A larger disc needs less power for the same thrust, on one motor.
    assert power["datura-2.5"] > power["datura-3.0"] > power["datura-3.5"] > power["datura-4.9"]
    for lost in ("thrust-coefficient", "figure-of-merit"):
        for one in results(capfd, root, "--of", lost, "--at", "thrust=60gf" if lost[0] == "f" else "speed=8000rpm"):
            assert one["value"] is None
            assert "speed" in one["absent"]


def test_a_comparison_of_a_thesis_book_is_ranked_and_says_what_it_cannot_know(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    root = thesis_book(tmp_path)
    status, out, _ = asked(capfd, root, "compare", "--of", "electrical-efficiency", "--at", "thrust=60gf", "--json")
    assert status in (0, 1)
    assert "NaN" not in out
    compared = json.loads(out)
    # Four diameters are four classes: each propeller stands alone, and that is what is said; nothing is ranked across.
    assert [one["class"] for one in compared] == [f"{inches:g} inch, 2 blades" for inches in THESIS.values()]
    for one, design in zip(compared, THESIS, strict=True):
        assert [rank["result"]["design"] for rank in one["ranks"]] == [design]
        assert one["pairs"] == []
        assert "nothing to compare it with" in one["sentences"][0]
        assert one["ranks"][0]["result"]["interval_of_design"] is None
