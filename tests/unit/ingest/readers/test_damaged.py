"""Files of every format, damaged at random: read or refused in words, soon, in little memory, and nothing crashes."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from isothrust.errors import LogError
from isothrust.ingest.readers.choosing import contents_of
from isothrust.ingest.readers.rehearsal import MEMORY_FACTOR, MEMORY_FREE
from support.formats import WRITERS
from support.source import ROOT

REHEARSED = {"MATLAB", "MATLAB, packed", "MATLAB 7.3", "HDF5", "HDF5, compound"}
"""Each such file takes a process of its own."""
LONGEST = 20.0
"""Seconds for one small file on a busy machine."""


@pytest.mark.parametrize("name", WRITERS)
def test_a_damaged_file_is_read_or_refused_soon_and_in_little_memory(tmp_path: Path, name: str) -> None:
    count = 3 if name in REHEARSED else 300
    words = [sys.executable, "-m", "support.damage", name, str(count), "4", str(tmp_path)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "tests")}
    done = subprocess.run(words, capture_output=True, text=True, env=environment, timeout=300, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    *files, last = done.stdout.splitlines()
    assert len(files) == count
    assert max(float(line.split()[1]) for line in files) < LONGEST
    _, grown, size = last.split()
    assert int(grown) < 10 * int(size) + (1 << 25)  # the interpreter's own growth on so small a file
    outcomes = {line.split()[0] for line in files}
    assert "untold" not in outcomes
    assert name in REHEARSED or len(outcomes) > 1, "some are read, some refused: else nothing was damaged, or all"


def test_a_file_that_crashes_its_library_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "r.mat"
    WRITERS["MATLAB"][1](path)
    (tmp_path / "sitecustomize.py").write_text(
        "import os, sys\nif 'isothrust.ingest.readers.rehearsed' in sys.orig_argv: os.abort()\n", encoding="utf-8"
    )
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with pytest.raises(LogError) as caught:
        contents_of(path)
    (problem,) = caught.value.problems
    assert problem.code == "damaged-file"
    assert "broke down" in problem.what


def test_a_reading_may_take_less_than_ten_times_the_size_of_a_large_file() -> None:
    assert MEMORY_FACTOR + MEMORY_FREE / 1e9 < 10
