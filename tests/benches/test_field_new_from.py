"""Books made from folders of other people's recordings: what the logs do not tell is filled in, and they reduce.

Figures stand in the LOG.md beside the recordings; "(mine)" marks there what its writer worked out of the raw files.
"""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.errors import UsageError
from isothrust.ingest import read_recording
from isothrust.records.reduced import ReducedRun
from isothrust.tables.inside import file_of
from isothrust.workflows.fromfolder import FolderBook, create_from_folder
from isothrust.workflows.reduce import ReduceOutcome, reduce_book
from support.drafted import fill_channels
from support.field import FIELD, GF, RIGS, needs_field, peak

pytestmark = needs_field


def fill_rig(book: Path, made: FolderBook, rig: str) -> None:
    """Write what nobody but the testers knew: the keys of their rig file."""
    true = tomllib.loads((RIGS / f"{rig}.toml").read_text(encoding="utf-8"))["channels"]
    fill_channels(book / "rigs" / f"{made.layouts[0].rig}.toml", true)


def fill_cells(book: Path, made: FolderBook) -> None:
    """Write a sample's mark for each run, and a kind where none was proposed."""
    (layout,) = made.layouts
    path = book / "campaigns" / layout.campaign / "runs.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    heads = lines[0].split(",")
    rows = [line.split(",") for line in lines[1:]]
    for row in rows:
        for head, cell in (("sample", "a"), ("kind", "zero")):
            row[heads.index(head)] = row[heads.index(head)] or cell
    path.write_text("\n".join([lines[0], *(",".join(row) for row in rows), ""]), encoding="utf-8")


def by_run(outcome: ReduceOutcome) -> dict[str, ReducedRun]:
    return {run: stored.reduced for (_, run), stored in outcome.stored.items()}


def test_thesis_bench_needs_no_unit_by_hand(tmp_path: Path) -> None:
    logs = tmp_path / "thesis-minibench"  # without the workbook in which their author put parts of them side by side
    logs.mkdir()
    for log in (FIELD / "thesis-minibench").glob("*.csv"):
        shutil.copy(log, logs)
    made = create_from_folder(tmp_path / "book", logs, names="{design}")
    (layout,) = made.layouts
    assert layout.rig_to_fill == ()
    fill_cells(tmp_path / "book", made)
    runs = by_run(reduce_book(tmp_path / "book"))
    # LOG (mine): thrust at 100 %: 68.0, 78.7, 115.9, 169.3 gf; motor B 62.9, 71.1.
    for name, thrust in (("datura-2.5", 68.0), ("datura-3.0", 78.7), ("datura-3.5", 115.9), ("datura-4.9", 169.3)):
        assert peak(runs[name]) / GF == pytest.approx(thrust, rel=0.01)
    assert peak(runs["robo-2.5"]) / GF == pytest.approx(62.9, rel=0.01)


def test_coaxial_pair_is_reduced_once_its_five_units_are_written(tmp_path: Path) -> None:
    made = create_from_folder(tmp_path / "book", FIELD / "coax-lift", names="{design}_{date}-{any}")
    (layout,) = made.layouts
    gaps = [(each.gap.section.removeprefix("channels."), each.gap.key) for each in layout.rig_to_fill]
    assert sorted(gaps) == [
        ("current", "unit"),
        ("throttle", "range"),
        ("throttle", "unit"),
        ("thrust", "unit"),
        ("time", "unit"),
        ("voltage", "unit"),
    ]
    fill_rig(tmp_path / "book", made, "coax-lift")
    fill_cells(tmp_path / "book", made)
    runs = by_run(reduce_book(tmp_path / "book"))
    # LOG (mine): peak thrust 22: 2535 g, 25: 2469; greatest single readings, ours is the mean at the greatest command.
    for name, thrust in (("test22_2024-05-22-11-11-13", 2535), ("test25_2024-05-22-13-14-38", 2469)):
        assert peak(runs[name]) / GF == pytest.approx(thrust, rel=0.03)
    dates = (tmp_path / "book" / "campaigns" / "coax-lift" / "runs.csv").read_text(encoding="utf-8")
    assert dates.count(",2024-05-22,") == 6


# Sound without a log, dumps of a flight controller's memory.
LOGLESS = frozenset("binary-negative fault-audio indoor-drone-clips phone-audio-throttle rotor-audio-70pct".split())
FOLDERS = sorted(path.name for path in FIELD.iterdir() if path.is_dir()) if FIELD.is_dir() else []


def state(folder: str) -> list[tuple[str, int, int]]:
    stats = [(path.name, path.stat()) for path in (FIELD / folder).iterdir()]
    return sorted((name, stat.st_mtime_ns, stat.st_size) for name, stat in stats)


SIDE_BY_SIDE = "side-by-side-xlsx"
"""A thousand blocks in fifty sheets: its book is made once for the tests that look at it."""


class Made(NamedTuple):
    """A book made from a folder, and how that folder stood before."""

    root: Path
    book: FolderBook
    before: list[tuple[str, int, int]]


def book_of(folder: str, root: Path) -> Made:
    before = state(folder)
    return Made(root, create_from_folder(root, FIELD / folder), before)


@pytest.fixture(scope="module")
def side_by_side(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return book_of(SIDE_BY_SIDE, tmp_path_factory.mktemp("side-by-side") / "book")


@pytest.mark.parametrize("folder", [name for name in FOLDERS if name not in LOGLESS])
def test_every_folder_with_logs_becomes_a_book(folder: str, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    shared = folder == SIDE_BY_SIDE
    root, made, before = request.getfixturevalue("side_by_side") if shared else book_of(folder, tmp_path / "book")
    logs = [{file_of(FIELD / folder, name) for name in layout.mapping.files} for layout in made.layouts]
    assert made.copied == sum(map(len, logs)) > 0
    for layout in made.layouts:
        tomllib.loads((root / "rigs" / f"{layout.rig}.toml").read_text(encoding="utf-8"))
    assert state(folder) == before


@pytest.mark.parametrize("folder", sorted(LOGLESS))
def test_every_folder_without_logs_is_refused_in_words(folder: str, tmp_path: Path) -> None:
    with pytest.raises(UsageError) as caught:
        create_from_folder(tmp_path / "book", FIELD / folder)
    assert caught.value.code == "no-logs"
    assert caught.value.problems[0].fix
    assert list(tmp_path.iterdir()) == []


def test_each_sheet_of_blocks_at_one_throttle_becomes_a_run_and_reads_rightly(side_by_side: Made) -> None:
    root, made, _ = side_by_side
    layout = next(each for each in made.layouts if each.mapping.joined)
    assert len(layout.mapping.files) == 4 + 17 + 34  # LOG: the sheets of he, log and test
    rows = (root / "campaigns" / layout.campaign / "runs.csv").read_text(encoding="utf-8")
    assert ",holds,he.xlsx/120mm_45deg_trial3," in rows
    rig = root / "rigs" / f"{layout.rig}.toml"
    fill_channels(rig, {"time": {"unit": "s"}, "thrust": {"unit": "gf"}, "throttle": {"unit": "1", "range": [0, 180]}})
    raw = root / "campaigns" / layout.campaign / "raw"
    recording = read_recording("r", {"log": str(raw / "he.xlsx/120mm_45deg_trial3")}, parse_rig(rig)[0])
    throttle, thrust = recording.channels["throttle"].values, recording.channels["thrust"].values / GF
    for level, mean in ((10, 5.92), (100, 58.7), (140, 100.1)):  # LOG (mine)
        assert thrust[np.isclose(180.0 * throttle, level)].mean() == pytest.approx(mean, abs=0.05)
    assert (np.diff(recording.channels["thrust"].time) > 0.0).all()
