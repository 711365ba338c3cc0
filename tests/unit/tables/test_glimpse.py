"""A look at a long log: its layout, and rows from all along it, without reading it in full."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from isothrust.errors import LogError
from isothrust.tables.columns import read_columns
from isothrust.tables.glimpse import glimpse_log
from isothrust.tables.log import open_log


def written(path: Path, rows: int) -> Path:
    path.write_text("time,value\n" + "".join(f"{k},{k * 3}\n" for k in range(rows)), encoding="utf-8")
    return path


def test_a_short_log_is_seen_in_full(tmp_path: Path) -> None:
    path = written(tmp_path / "a.csv", 500)
    assert glimpse_log(path) == open_log(path)


def test_of_a_long_log_whole_rows_from_beginning_to_end_are_seen(tmp_path: Path) -> None:
    rows = 900_000
    path = written(tmp_path / "a.csv", rows)
    assert path.stat().st_size > 8e6
    table = glimpse_log(path)
    columns = read_columns(table, [0, 1])
    time, value = columns.numbers[0], columns.numbers[1]
    assert [head.text for head in table.heads] == ["time", "value"]
    assert columns.unreadable == {}
    assert len(table.data) < 3e6
    assert (time[0], time[-1]) == (0.0, rows - 1)
    assert (value == 3 * time).all()
    assert (time[1:] > time[:-1]).all()
    assert max(time[1:] - time[:-1]) < rows / 40


def test_of_a_long_compressed_log_the_beginning_is_seen(tmp_path: Path) -> None:
    plain = written(tmp_path / "a.csv", 900_000).read_bytes()
    (tmp_path / "a.csv.gz").write_bytes(gzip.compress(plain + plain, compresslevel=0))
    time = read_columns(glimpse_log(tmp_path / "a.csv.gz"), [0]).numbers[0]
    assert time[:3].tolist() == [0.0, 1.0, 2.0]
    assert time.size > 100_000


def test_what_is_no_log_is_refused_in_the_same_words(tmp_path: Path) -> None:
    (tmp_path / "long.bin").write_bytes(bytes(range(256)) * 40_000)
    with pytest.raises(LogError) as caught:
        glimpse_log(tmp_path / "long.bin")
    assert caught.value.code == "binary-log"
    with pytest.raises(LogError) as caught:
        glimpse_log(tmp_path / "gone.csv")
    assert caught.value.code == "missing-file"
