"""Figures of other people's recordings, worked out once more from what `isothrust explain` prints of them."""

from __future__ import annotations

import hashlib
import re
import statistics
from pathlib import Path

import pytest

from isothrust.cli import main
from support.explained import Told, first_table, last_number, read_explanation
from support.field import FIELD, GF, needs_field
from support.field_books import lever_book, thesis_book
from support.recomputed import check_explanation

pytestmark = needs_field


@pytest.fixture(scope="module")
def lever(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return lever_book(tmp_path_factory.mktemp("lever"))


@pytest.fixture(scope="module")
def thesis(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return thesis_book(tmp_path_factory.mktemp("thesis"))


def explained(capfd: pytest.CaptureFixture[str], book: Path, *words: str) -> Told:
    capfd.readouterr()
    with pytest.raises(SystemExit) as left:
        main(["explain", *words, "--jobs", "1", "--book", str(book)])
    told = capfd.readouterr()
    assert left.value.code == 0, told.err
    return read_explanation(told.out)


@pytest.mark.parametrize(
    ("measurand", "at"),
    [
        ("thrust", ("--at", "speed=8000rpm")),
        ("speed", ("--at", "thrust=500gf")),
        ("electrical-power", ("--at", "thrust=500gf")),
        ("electrical-efficiency", ("--at", "thrust=500gf")),
        ("current", ("--at", "thrust=500gf")),
        ("peak-thrust", ()),
    ],
)
def test_a_lever_bench_without_air_can_be_followed(
    capfd: pytest.CaptureFixture[str], lever: Path, measurand: str, at: tuple[str, ...]
) -> None:
    told = explained(capfd, lever, "unknown", "--of", measurand, *at)
    _, intervals = check_explanation(told, measurand)
    assert set(intervals) == {"as tested"}  # nothing tells how samples scatter
    assert "air: not known" in told.runs["july/r1"].text
    assert "calibration-not-stated" in told.sections["What was asked"]


def test_a_lever_benchs_scales_are_those_that_its_students_state(
    capfd: pytest.CaptureFixture[str], lever: Path
) -> None:
    told = explained(capfd, lever, "r1", "--of", "thrust", "--at", "speed=8715.3rpm")
    value, _ = check_explanation(told, "thrust")
    # LOG: 11.268 N at 8715 rpm, by the students' own scale and zero
    assert value * GF == pytest.approx(11.268, rel=0.01)
    text = told.runs["july/r1"].text
    assert hashlib.sha256((FIELD / "uni-lever-16v3" / "Motor_16p3.txt").read_bytes()).hexdigest() in text
    assert re.search(r"zero of thrust: \S+ N, as the rig file\s+states it", text)
    assert "saturated" in text


@pytest.mark.parametrize(
    ("measurand", "at"),
    [
        ("electrical-efficiency", ("--at", "thrust=60gf")),
        ("electrical-power", ("--at", "thrust=60gf")),
        ("current", ("--at", "thrust=60gf")),
        ("throttle", ("--at", "thrust=60gf")),
        ("peak-thrust", ()),
        ("peak-electrical-power", ()),
    ],
)
@pytest.mark.parametrize("design", ["datura-2.5", "datura-4.9"])
def test_a_bench_without_a_tachometer_can_be_followed(
    capfd: pytest.CaptureFixture[str], thesis: Path, design: str, measurand: str, at: tuple[str, ...]
) -> None:
    told = explained(capfd, thesis, design, "--of", measurand, *at)
    check_explanation(told, measurand)
    assert "no-speed-channel" in told.sections["What was asked"]


def test_a_thesis_benchs_zero_is_the_mean_of_its_rows(capfd: pytest.CaptureFixture[str], thesis: Path) -> None:
    told = explained(capfd, thesis, "datura-2.5")
    assert told.title.startswith(
        "Electrical efficiency of datura-2.5 at 60 gf"
    )  # there is no shaft power without speed
    (run,) = told.runs.values()
    zeros = first_table(run.text, "zero of")
    assert zeros is not None
    name, start, end, level, _, count, out = zeros.rows[0]
    assert (name, out) == ("thrust", "0")
    head, *rows = [line.split(",") for line in (FIELD / "thesis-minibench" / "datura-2.5.csv").read_text().splitlines()]
    time, raw = head.index("timestamp_s"), head.index("thrust_raw")
    first = float(rows[0][time])
    inside = [float(row[raw]) for row in rows if float(start) <= float(row[time]) - first <= float(end) + 1e-6]
    (rig,) = (body for title, body in told.sections.items() if title.startswith("Rig "))
    scale = re.search(r'thrust \[N\] +([\d.e+-]+) \* "thrust_raw"', rig)
    assert scale is not None
    assert len(inside) == int(count)
    assert statistics.fmean(inside) * float(scale[1]) == pytest.approx(float(level), rel=1e-7)


def test_a_figure_that_such_a_bench_cannot_give_is_explained_by_what_is_missing(
    capfd: pytest.CaptureFixture[str], thesis: Path
) -> None:
    told = explained(capfd, thesis, "datura-2.5", "--of", "shaft-efficiency", "--at", "thrust=60gf")
    assert told.headline.startswith("absent: ")
    (measured,) = (body for head, body in told.sections.items() if head.startswith("What was measured"))
    measured = re.sub(r"\s+", " ", measured)
    assert "missing: the speed channel of run r1 is not in its log" in measured
    assert "curves of electrical-power" in measured
    assert last_number(told.sections["What was asked"], "rho0") == 1.225
