"""Dates, names and the lock."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from isothrust.book.dates import AmbiguousDateError, iso_date
from isothrust.book.lock import book_locked
from isothrust.book.names import bad_name, bad_raw_path


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("2026-03-01", "2026-03-01"),
        ("2026-3-1", "2026-03-01"),
        ("2026.03.01", "2026-03-01"),
        ("2026-03-01T14:05", "2026-03-01T14:05"),
        ("2026-03-01 14:05:09", "2026-03-01T14:05:09"),
        ("2026-03-01T14:05Z", "2026-03-01T14:05Z"),
        ("2026-03-01T14:05:00+02:00", "2026-03-01T14:05:00+02:00"),
        ("27.03.2026", "2026-03-27"),
        ("3/27/2026 8:15", "2026-03-27T08:15"),
        ("04/04/2026", "2026-04-04"),
        ("29/02/2028", "2028-02-29"),
    ],
)
def test_a_date_that_can_mean_one_day_only_is_read(text: str, iso: str) -> None:
    assert iso_date(text) == iso


@pytest.mark.parametrize("text", ["03/04/2026", "1.2.2026", "12-11-2026 10:00"])
def test_a_date_that_can_mean_two_days_is_ambiguous(text: str) -> None:
    with pytest.raises(AmbiguousDateError):
        iso_date(text)


@pytest.mark.parametrize(
    "text", ["29/02/2026", "2026-13-01", "2026-00-10", "01.04.26", "46115", "today", "2026-03-01 25:00"]
)
def test_what_is_no_date_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        iso_date(text)


@pytest.mark.parametrize("name", ["a/b", "a\\b", "a:b", "what?", ".hidden", "a.", "con", "NUL.csv", "a\tb", "<a>"])
def test_names_that_some_system_refuses_are_refused_everywhere(name: str) -> None:
    assert bad_name(name)


@pytest.mark.parametrize("name", ["r01", "7x4 no. 2", "løper", "a+b", "auk-7x4.5"])
def test_ordinary_names_are_taken(name: str) -> None:
    assert bad_name(name) is None


@pytest.mark.parametrize(
    ("path", "bad"), [("a/b.csv", False), ("../b", True), ("a/../../b", True), ("/b", True), ("c:/b", True)]
)
def test_a_recording_lies_under_raw(path: str, bad: bool) -> None:
    assert (bad_raw_path(path) is not None) == bad


def test_the_lock_is_free_again_when_its_holder_was_killed(tmp_path: Path) -> None:
    program = (
        "import os, signal\n"
        "from isothrust.book.lock import book_locked\n"
        f"with book_locked({str(tmp_path)!r}, lambda: None):\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode != 0
    told: list[str] = []
    with book_locked(tmp_path, lambda: told.append("waiting")):
        pass
    assert told == []
