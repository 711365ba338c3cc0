"""The demonstration book: whole, readable, safe to write twice; its faults are found and its figures hold the truth."""

from __future__ import annotations

import json
import shutil
import statistics
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from isothrust.book.load import load_book
from isothrust.cli.report import REPORT_FILE
from isothrust.errors import BookError
from isothrust.ingest import read_recording
from isothrust.records.result import Result
from isothrust.virtual import (
    DEMO_SEED,
    DemoCampaign,
    PropellerTruth,
    RunPlan,
    demo_campaigns,
    demo_file_names,
    simulate,
)
from isothrust.workflows import demo
from isothrust.workflows.demo import DEMO_MARK, write_demo
from isothrust.workflows.reduce import ReduceOutcome, reduce_book
from isothrust.workflows.results import collect_results
from isothrust.workflows.selection import Selection
from support.report_books import demo_with_report

GF, RPM = 9.80665e-3, 2 * np.pi / 60


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The real demonstration, written and reduced once, and here without its report."""
    folder = tmp_path_factory.mktemp("demo") / "book"
    shutil.copytree(demo_with_report(tmp_path_factory), folder, ignore=shutil.ignore_patterns(REPORT_FILE))
    return folder


@pytest.fixture(scope="module")
def outcome(book: Path) -> ReduceOutcome:
    return reduce_book(book)


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> dict[str, bytes]:
    """A demonstration of four files instead of the simulated ones, for tests of how files are written."""
    files = {f"raw/{k}.csv": f"log {k}".encode() for k in range(3)} | {"book.toml": b"title = 'x'\n"}

    def yielded() -> Iterator[tuple[str, bytes]]:
        yield from files.items()

    monkeypatch.setattr(demo, "demo_files", yielded)
    monkeypatch.setattr(demo, "demo_file_names", lambda: tuple(files))
    return files


def content(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_the_book_holds_what_its_tables_name_and_nothing_of_the_truth(book: Path) -> None:
    read = load_book(book)
    named = {
        f"campaigns/{campaign.name}/raw/{run.files['log']}"
        for campaign in read.campaigns.values()
        for run in campaign.runs
    }
    raw = {name for name in demo_file_names() if "/raw/" in name}
    assert named == raw
    written = {str(p.relative_to(book)) for p in book.rglob("*") if p.is_file() and "derived" not in p.parts}
    assert {n for n in written if not n.endswith("raw.sha256")} == {*demo_file_names(), DEMO_MARK}
    assert 50 <= len(raw) <= 80
    assert sum((book / name).stat().st_size for name in raw) < 60e6


def test_the_scenario_is_the_survey_group_s(book: Path) -> None:
    read = load_book(book)
    runs = [run for campaign in read.campaigns.values() for run in campaign.runs]
    assert len(read.designs) >= 8
    assert len(read.samples) == 2 * len(read.designs)
    assert {run.kind for run in runs} == {"ramp", "holds", "steps", "coast", "zero"}
    assert len(read.campaigns) == len({campaign.rig.name for campaign in read.campaigns.values()}) == 3
    for design in read.designs:
        ramps = [run for run in runs if run.design == design and run.kind == "ramp"]
        assert len({run.mounting for run in ramps}) >= 3
    temperatures = [run.air.temperature.value for run in runs if run.air is not None]
    assert max(temperatures) - min(temperatures) > 5
    assert [round(thrust / GF) for thrust in read.comparison_thrusts] == [300, 500, 800]


@pytest.mark.parametrize("place", range(3))
def test_what_is_read_back_is_what_was_simulated(book: Path, place: int) -> None:
    campaign = demo_campaigns(DEMO_SEED)[place]
    plan = next(plan for plan in campaign.plans if plan.schedule.kind == "ramp" and not plan.faults)
    run = next(run for run in load_book(book).campaigns[campaign.name].runs if run.name == plan.name)
    rig = load_book(book).campaigns[campaign.name].rig
    file = book / "campaigns" / campaign.name / "raw" / run.files["log"]
    recording = read_recording(run.name, {"log": str(file)}, rig)
    simulated = _as_in_the_book(campaign, plan)
    assert set(recording.channels) == set(simulated) - {"time"}
    for name, channel in recording.channels.items():
        known = np.isfinite(simulated[name])
        np.testing.assert_allclose(channel.time, simulated["time"][known], atol=1e-4)
        scale = np.abs(simulated[name][known]).max()
        np.testing.assert_allclose(channel.values, simulated[name][known], atol=2e-3 * scale)


def _as_in_the_book(campaign: DemoCampaign, plan: RunPlan) -> dict[str, np.ndarray]:
    """Simulate one run at its own place among all plans: its noise hangs on that place."""
    plans = [p for c in demo_campaigns(DEMO_SEED) for p in c.plans]
    place = next(k for k, p in enumerate(plans) if p.name == plan.name and p.stand == campaign.bench.stand)
    return dict(simulate([plan], DEMO_SEED, first=place)[0].columns)


def test_planted_faults_are_found_in_their_runs_and_no_other_run_is_lost(outcome: ReduceOutcome) -> None:
    unarmed = [
        (campaign.name, plan.name)
        for campaign in demo_campaigns(DEMO_SEED)
        for plan in campaign.plans
        if plan.drive.latency > plan.schedule.duration
    ]
    assert len(unarmed) == 1
    assert list(outcome.failed) == list(outcome.set_aside) == unarmed
    (said,) = [finding.message for finding in outcome.findings if finding.code == "not-reduced"]
    assert "[no-propulsion]" in said
    assert "campaigns/june-recheck/raw/s10-" in said
    found = {(finding.run, finding.code) for finding in outcome.findings}
    codes = {
        "dropout": "tachometer-dropout",
        "double-count": "tachometer-double-count",
        "half-count": "tachometer-half-count",
        "spike": "spikes",
        "zero-drift": "zero-drift",
        "truncated-line": "truncated-last-line",
        "repeated-stamp": "clock-repeated",
        "backward-stamp": "clock-backward",
    }
    planted = {
        (plan.name, codes[fault.kind])
        for campaign in demo_campaigns(DEMO_SEED)
        for plan in campaign.plans
        for fault in plan.faults
    }
    assert len(planted) >= 5
    assert planted <= found


def test_figures_hold_the_truth_that_the_book_does_not_know(outcome: ReduceOutcome) -> None:
    asked = Selection(
        measurands=("thrust", "power-coefficient", "shaft-efficiency"),
        thrusts=(300 * GF, 500 * GF, 800 * GF),
        speeds=(14_000 * RPM,),
    )
    answer = collect_results(outcome.book, [stored.reduced for stored in outcome.stored.values()], asked)
    off = []
    for result in answer.results:
        assert result.value is not None, result.absent
        assert result.standard_uncertainty is not None
        off.append((result.value - _truth(result)) / result.standard_uncertainty)
    # 70 figures, but only three rigs: their common errors let the rms of one book lie between about 0.4 and 1.7.
    assert len(off) == 14 * 5
    assert 0.4 < statistics.fmean(z * z for z in off) ** 0.5 < 1.7
    assert max(abs(z) for z in off) < 3.5


def _truth(result: Result) -> float:
    """Mean over the samples that the campaign had, without their mountings."""
    campaign = next(c for c in demo_campaigns(DEMO_SEED) if c.name == result.campaign)
    samples = {p.sample: p for p in campaign.plans if p.propeller.name == result.design}
    truths = [PropellerTruth(p.propeller, p.sample_factors) for p in samples.values()]
    assert result.condition is not None
    at = result.condition.value
    value = {
        "thrust": lambda t: t.thrust(at),
        "power-coefficient": lambda t: t.power_coefficient(at),
        "shaft-efficiency": lambda t: t.shaft_efficiency(at),
    }[result.measurand]
    return statistics.fmean(float(value(truth)) for truth in truths)


def test_a_second_time_nothing_is_written(book: Path) -> None:
    before = {p: p.stat().st_mtime_ns for p in book.rglob("*")}
    again = write_demo(book)
    assert again.written == ()
    assert set(again.kept) == set(demo_file_names())
    assert {p: p.stat().st_mtime_ns for p in book.rglob("*")} == before


def test_a_changed_table_stays_and_a_missing_file_comes_back(tmp_path: Path, small: dict[str, bytes]) -> None:
    write_demo(tmp_path)
    (tmp_path / "book.toml").write_bytes(b"title = 'mine'\n")
    (tmp_path / "raw/1.csv").unlink()
    (tmp_path / "notes.txt").write_text("my own")
    again = write_demo(tmp_path)
    assert again.written == ("raw/1.csv",)
    assert (tmp_path / "book.toml").read_bytes() == b"title = 'mine'\n"
    assert (tmp_path / "notes.txt").read_text() == "my own"
    assert (tmp_path / "raw/1.csv").read_bytes() == small["raw/1.csv"]


@pytest.mark.parametrize("files_done", [0, 1, 3])
def test_a_book_that_a_kill_left_half_written_is_completed_to_the_same_bytes(
    tmp_path: Path, small: dict[str, bytes], files_done: int
) -> None:
    whole, killed = tmp_path / "whole", tmp_path / "killed"
    write_demo(whole)

    def kill(done: int, _of: int, _name: str) -> None:
        if done >= files_done:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_demo(killed, progress=kill)
    assert json.loads((killed / DEMO_MARK).read_text())["complete"] is False
    write_demo(killed)
    assert content(killed) == content(whole)
    assert set(content(whole)) == {*small, DEMO_MARK}


def test_progress_is_told_file_by_file(tmp_path: Path, small: dict[str, bytes]) -> None:
    told: list[tuple[int, int, str]] = []
    write_demo(tmp_path / "b", progress=lambda done, of, name: told.append((done, of, name)))
    assert told == [(k, 4, name) for k, name in enumerate(small, start=1)]


@pytest.mark.parametrize(
    ("name", "text"),
    [("shopping.txt", "milk"), (DEMO_MARK, "no json"), (DEMO_MARK, '{"edition": 0}'), (DEMO_MARK, "[]")],
)
def test_a_folder_that_holds_anything_else_is_refused_and_not_touched(
    tmp_path: Path, small: dict[str, bytes], name: str, text: str
) -> None:
    (tmp_path / name).write_text(text)
    with pytest.raises(BookError) as refused:
        write_demo(tmp_path)
    assert refused.value.code == "folder-not-empty"
    assert content(tmp_path) == {name: text.encode()}


def test_a_file_is_no_folder(tmp_path: Path, small: dict[str, bytes]) -> None:
    (tmp_path / "f").write_text("x")
    with pytest.raises(BookError) as refused:
        write_demo(tmp_path / "f")
    assert refused.value.code == "not-a-folder"
