"""isothrust chart on a small book of simulated recordings, end to end."""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import pytest

from isothrust.book.load import load_book
from isothrust.book.store import read_reduced
from isothrust.cli import main
from isothrust.errors import UsageError
from isothrust.present.charts.catalogue import CHARTS
from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun
from isothrust.workflows.chart_choice import identities_of
from isothrust.workflows.chart_points import drawn_conditions
from isothrust.workflows.chart_scope import choose_scope, scopes_of
from isothrust.workflows.pictures import channels_shown, picture_jobs, take_pictures
from isothrust.workflows.selection import Selection
from support.bench_books import write_bench_book

GF = 9.80665e-3
RPM = 2 * math.pi / 60
HEARD = "sound-level"
"""A book without a microphone has none: tests of sound draw it."""
CURVES = [name for name, chart in CHARTS.items() if chart.kind == "curves" and name != HEARD]


@dataclass(frozen=True)
class Said:
    status: int
    out: str
    err: str


Call = Callable[..., Said]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = write_bench_book(tmp_path_factory.mktemp("bench") / "book")
    with pytest.raises(SystemExit):
        main(["reduce", "--jobs", "1", "--book", str(root)])
    return root


@pytest.fixture
def chart(book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Call:
    """Call `isothrust chart` in an empty folder."""
    monkeypatch.chdir(tmp_path)

    def call(*words: str) -> Said:
        capfd.readouterr()
        with pytest.raises(SystemExit) as left:
            main(["chart", *words, "--book", str(book)])
        told = capfd.readouterr()
        assert isinstance(left.value.code, int)
        return Said(left.value.code, told.out, told.err)

    return call


@pytest.fixture(scope="module")
def reduced(book: Path) -> list[ReducedRun]:
    return [stored.reduced for stored in read_reduced(book).values()]


def size_of(path: Path) -> tuple[int, int]:
    return struct.unpack(">II", path.read_bytes()[16:24])  # type: ignore[return-value]


@pytest.mark.parametrize("name", [*CURVES, "ranking"])
def test_every_chart_is_drawn_under_its_own_name(chart: Call, tmp_path: Path, name: str) -> None:
    said = chart(name)
    assert said.status == 0, said.err
    assert said.out.startswith(f"{name}.png: ")
    assert [path.name for path in tmp_path.iterdir()] == [f"{name}.png"]
    assert size_of(tmp_path / f"{name}.png") == (1600, 900)


def test_a_recording_is_drawn_of_the_run_named(chart: Call, tmp_path: Path) -> None:
    assert chart("recording", "--run", "r001", "--size", "800x600", "--dark").status == 0
    assert size_of(tmp_path / "recording-r001.png") == (800, 600)
    assert chart("recording", "--run", "spring/r002", "--out", "second.svg").status == 0
    svg = (tmp_path / "second.svg").read_text(encoding="utf-8")
    for title in ("Recording of run r002", "Thrust [gf]", "Torque [N m]", "Time [s]"):
        assert title in svg


def test_like_is_drawn_with_like_and_the_other_class_is_told(chart: Call, tmp_path: Path) -> None:
    said = chart("shaft-efficiency", "--out", "a.svg")
    svg = (tmp_path / "a.svg").read_text(encoding="utf-8")
    assert ">auk<" in svg
    assert ">gull<" in svg
    assert ">tern<" not in svg
    assert '--class "7 inch, 3 blades"' in said.err
    assert chart("shaft-efficiency", "--class", "7 inch 3 blades", "--out", "b.svg").status == 0
    svg = (tmp_path / "b.svg").read_text(encoding="utf-8")
    assert ">tern<" in svg
    assert ">auk<" not in svg


def test_inflow_ratio_shows_all_blade_counts_and_names_them(chart: Call, tmp_path: Path) -> None:
    assert chart("inflow-ratio", "--out", "a.svg").status == 0
    svg = (tmp_path / "a.svg").read_text(encoding="utf-8")
    assert "tern, 3 blades" in svg
    assert "auk, 2 blades" in svg


def test_the_designs_named_are_told_apart_and_the_others_are_context(chart: Call) -> None:
    rows = json.loads(chart("thrust", "--design", "gull", "--json").out)
    assert {row["design"] for row in rows if row["told_apart"]} == {"gull"}
    assert {row["design"] for row in rows if not row["told_apart"]} == {"auk"}


def test_what_is_drawn_is_what_results_says(chart: Call, book: Path, capfd: pytest.CaptureFixture[str]) -> None:
    rows = json.loads(chart("shaft-efficiency", "--json").out)
    (drawn,) = [row for row in rows if row["design"] == "auk" and row["Thrust [gf]"] == 500.0]
    words = ["results", "--of", "shaft-efficiency", "--at", "thrust=500gf", "--design", "auk", "--json"]
    with pytest.raises(SystemExit):
        main([*words, "--book", str(book)])
    (told,) = json.loads(capfd.readouterr().out)
    assert drawn["Shaft efficiency [gf/W]"] == pytest.approx(told["value"], rel=1e-5)
    assert drawn["interval"] == pytest.approx(told["interval_of_design"], rel=1e-5)


def test_a_ranking_is_that_of_compare(chart: Call, book: Path, capfd: pytest.CaptureFixture[str]) -> None:
    rows = json.loads(chart("ranking", "--of", "electrical-power", "--at", "thrust=400gf", "--json").out)
    with pytest.raises(SystemExit):
        main(["compare", "--of", "electrical-power", "--at", "thrust=400gf", "--json", "--book", str(book)])
    (told,) = [one for one in json.loads(capfd.readouterr().out) if one["class"] == "7 inch, 2 blades"]
    ranked = [(rank["place"], rank["result"]["design"]) for rank in told["ranks"]]
    assert [(row["place"], row["design"]) for row in rows] == ranked


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_a_picture_may_be_drawn_again_and_nothing_else_is_overwritten(chart: Call, tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"figure.{ending}"
    assert chart("thrust", "--out", str(path)).status == 0
    assert chart("thrust", "--out", str(path), "--dark").status == 0
    before = path.read_bytes()
    said = chart("power-coefficient", "--out", str(path))
    assert said.status == 2
    assert "[file-in-the-way]" in said.err
    assert path.read_bytes() == before
    path.write_bytes(b"the only photograph of the bench")
    assert chart("thrust", "--out", str(path)).status == 2
    assert path.read_bytes() == b"the only photograph of the bench"
    assert chart("thrust", "--out", str(path), "--force").status == 0
    assert path.read_bytes() != b"the only photograph of the bench"


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["thrst"], "unknown-chart", "thrust"),
        (["thrust", "--class", "7 inch, 3 blads"], "unknown-class", "7 inch, 3 blades"),
        (["thrust", "--design", "ak"], "unknown-design", "auk"),
        (["thrust", "--campaign", "sprin"], "unknown-campaign", "spring"),
        (["thrust", "--design", "auk", "--design", "tern"], "not-one-class", "tern: 7 inch, 3 blades in spring"),
        (["thrust", "--design", "petrel"], "not-one-class", "no curve here"),
        (["shaft-efficiency", "--at", "speed=9000rpm"], "wrong-condition", "drawn over thrust"),
        (["shaft-efficiency", "--at", "thrust=9"], "missing-unit", "--at thrust=9"),
        (["ranking", "--of", "shaft-powr"], "unknown-measurand", "shaft-power"),
        (["ranking", "--of", "thrust", "--at", "thrust=500gf"], "wrong-condition", "thrust holds at a speed"),
        (["ranking", "--of", "shaft-power", "--at", "thrust=90000gf"], "nothing-to-draw", "was not reached"),
        (["recording"], "run-needed", "--run"),
        (["recording", "--run", "r01"], "unknown-run", "r001"),
        (["recording", "--run", "r900"], "nothing-to-draw", "isothrust check"),
        (["recording", "--run", "r001", "--of", "thrust"], "wrong-usage", "--of"),
        (["thrust", "--run", "r001"], "wrong-usage", "--run"),
        (["inflow-ratio", "--class", "7 inch, 2 blades"], "wrong-usage", "--class"),
        (["thrust", "--out", "thrust.jpg"], "unknown-picture-kind", "thrust.png"),
        (["thrust", "--size", "huge"], "wrong-usage", "1920x1080"),
        (["thrust", "--size", "99999x2"], "wrong-usage", "320 to 7680"),
    ],
)
def test_what_cannot_be_drawn_is_told_with_what_was_meant(
    chart: Call, tmp_path: Path, words: list[str], code: str, said: str
) -> None:
    told = chart(*words)
    assert told.status == 2
    assert f"[{code}]" in told.err
    assert said in told.err
    assert not list(tmp_path.iterdir())


def test_more_than_eight_are_never_told_apart(book: Path, reduced: list[ReducedRun]) -> None:
    whole = load_book(book)
    (scope, *_) = scopes_of(whole, reduced, across_classes=False)
    with pytest.raises(UsageError, match="more than 8") as raised:
        identities_of(whole, reduced, scope, [f"d{number}" for number in range(9)])
    assert raised.value.code == "too-many-lines"


def test_a_design_looks_the_same_in_every_chart_of_its_class(chart: Call, book: Path) -> None:
    order = {}
    for name in ("thrust", "shaft-efficiency", "figure-of-merit"):
        rows = json.loads(chart(name, "--json").out)
        order[name] = list(dict.fromkeys(row["design"] for row in rows if row["told_apart"]))
    assert len({tuple(sorted(names)) for names in order.values()}) == 1


def test_the_scope_is_the_newest_campaign_and_its_largest_class(book: Path, reduced: list[ReducedRun]) -> None:
    whole = load_book(book)
    scopes = scopes_of(whole, reduced, across_classes=False)
    assert {scope.class_name: set(scope.designs) for scope in scopes} == {
        "7 inch, 2 blades": {"auk", "gull"},
        "7 inch, 3 blades": {"tern"},
    }
    assert choose_scope(whole, scopes, Selection(), None).class_name == "7 inch, 2 blades"
    assert choose_scope(whole, scopes, Selection(designs=("tern",)), None).class_name == "7 inch, 3 blades"
    (everybody,) = scopes_of(whole, reduced, across_classes=True)
    assert set(everybody.designs) == {"auk", "gull", "tern"}


def test_points_of_a_curve_stand_in_round_steps_over_what_was_measured(reduced: list[ReducedRun]) -> None:
    ramps = [run for run in reduced if run.curves]
    for quantity, unit in (("speed", RPM), ("thrust", GF)):
        points = [value / unit for value in drawn_conditions(ramps, quantity)]  # type: ignore[arg-type]
        steps = {round(high - low, 6) for low, high in pairwise(points)}
        assert 24 <= len(points) <= 50
        assert len(steps) == 1
        assert float(f"{steps.pop():.1e}"[:3]) in {1.0, 2.0, 2.5, 5.0}
    top = max(run.curves["thrust"].high for run in ramps)
    assert top - drawn_conditions(ramps, "speed")[-1] < 500 * RPM


def test_a_run_without_a_curve_gives_no_points(reduced: list[ReducedRun]) -> None:
    assert drawn_conditions([run for run in reduced if not run.curves], "thrust") == ()


def test_pictures_hold_the_readings_of_the_log_and_say_why_there_is_none(book: Path, reduced: list[ReducedRun]) -> None:
    whole = load_book(book)
    pictures = take_pictures(picture_jobs(whole, reduced))
    good = pictures["spring", "r001"]
    assert good.absent is None
    assert [trace.channel for trace in good.traces] == ["throttle", "speed", "thrust", "torque"]
    top = max(run.curves["thrust"].high for run in reduced if run.run == "r001" and run.curves)
    (speed,) = [trace for trace in good.traces if trace.channel == "speed"]
    assert speed.values.max() == pytest.approx(top, rel=0.05)
    assert all(trace.time.size <= 362 for trace in good.traces)
    bad = pictures["spring", "r900"]
    assert bad.traces == ()
    assert bad.absent


def test_channels_that_findings_name_are_shown_and_five_at_most() -> None:
    channels = ("time", "throttle", "speed", "thrust", "torque", "voltage", "current")
    assert channels_shown(channels, ()) == ("throttle", "speed", "thrust", "torque")
    found = [Finding("spikes", "warning", "", channel=name, start=1.0) for name in ("current", "voltage")]
    assert channels_shown(channels, found) == ("throttle", "speed", "thrust", "voltage", "current")
    timeless = [Finding("calibration-odd", "note", "", channel="current")]
    assert channels_shown(channels, timeless) == ("throttle", "speed", "thrust", "torque")


def test_without_a_name_all_charts_are_listed(chart: Call, capfd: pytest.CaptureFixture[str]) -> None:
    told = chart().out
    assert all(name in told for name in CHARTS)
    assert chart("--list").out == told
