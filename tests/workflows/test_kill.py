"""A process killed at any moment leaves a valid book, which the same command once more completes to the same bytes.

The full form, with 50 random moments of a reduction in earnest, is benchmarks/kill_reduce.py.
"""

from __future__ import annotations

import random
import shutil
import sys
import time
from pathlib import Path

import pytest

from isothrust.book.load import load_book
from isothrust.workflows.add import add_folder
from isothrust.workflows.reduce import reduce_book
from support.fake_reduction import fake_worker
from support.killed import run_killed
from support.small_books import row, tree, write_small_book

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Two runs and one that borrows, stored already; then one changed, one new, one gone."""
    root = write_small_book(tmp_path / "book", {"r01": "wanted", "r02": "inertia=3e-5", "r04": "level=4"})
    reduce_book(root, worker=fake_worker)
    logs = {"r01": "wanted", "r02": "inertia=3e-5", "r03": "fail", "r05": "level=5"}
    write_small_book(root, logs, [row("r01"), row("r02", kind="coast"), row("r03"), row("r05")])
    return root


def test_reduce_killed_after_any_rename_is_completed_by_the_next(book: Path, tmp_path: Path) -> None:
    whole = shutil.copytree(book, tmp_path / "whole")
    renames = run_killed("reduce-words", whole)
    # raw.sha256, three runs, the borrower, whose donor has changed, and what the runs of the campaign show together.
    assert renames == 6
    for count in range(1, renames + 1):
        killed = shutil.copytree(book, tmp_path / f"killed {count}")
        assert run_killed("reduce-words", killed, after_rename=count) is None
        load_book(killed)
        reduce_book(killed, worker=fake_worker)
        assert tree(killed) == tree(whole)


def test_reduce_killed_at_random_moments_is_completed_by_the_next(book: Path, tmp_path: Path) -> None:
    whole = shutil.copytree(book, tmp_path / "whole")
    start = time.perf_counter()
    reduce_book(whole, worker=fake_worker)
    lasts = time.perf_counter() - start
    moments = random.Random(11)
    for count in range(4):
        killed = shutil.copytree(book, tmp_path / f"killed {count}")
        run_killed("reduce-words", killed, after_seconds=moments.uniform(0.0, lasts))
        load_book(killed)
        reduce_book(killed, worker=fake_worker)
        assert tree(killed) == tree(whole)


def test_a_file_that_was_being_written_when_the_power_went_is_cleared_away(book: Path, tmp_path: Path) -> None:
    whole = shutil.copytree(book, tmp_path / "whole")
    reduce_book(whole, worker=fake_worker)
    for folder in ("derived", "derived/spring", "campaigns/spring"):
        (book / folder / ".r01.parquet.0123456789abcdef.part").write_bytes(b"half")
    reduce_book(book, worker=fake_worker)
    assert tree(book) == tree(whole)


def test_add_killed_after_any_rename_is_completed_by_the_next(tmp_path: Path) -> None:
    folder = tmp_path / "bench"
    folder.mkdir()
    for name in ("auk ramp.csv", "tern steps.csv"):
        (folder / name).write_text("t,f\n0,1\n")
    empty = write_small_book(tmp_path / "empty", {})
    shutil.rmtree(empty / "campaigns")
    whole = shutil.copytree(empty, tmp_path / "whole")
    renames = run_killed("add", whole, str(folder))
    # Two recordings, raw.sha256, campaign.toml, runs.csv.
    assert renames == 5
    for count in range(1, renames + 1):
        killed = shutil.copytree(empty, tmp_path / f"killed {count}")
        assert run_killed("add", killed, str(folder), after_rename=count) is None
        if count < renames:
            load_book(killed)
        add_folder(killed, folder, "spring", "loft")
        assert tree(killed) == tree(whole)
