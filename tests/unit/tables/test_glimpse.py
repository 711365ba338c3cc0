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


def test_of_a_long_compressed_log_rows_from_all_along_are_seen(tmp_path: Path) -> None:
    rows = 900_000
    plain = written(tmp_path / "a.csv", rows).read_bytes()
    middle = plain.index(b"\n", len(plain) // 2) + 1
    # Hardly compressed, so that the file is long; in two streams, as a logger that was restarted leaves it.
    two = gzip.compress(plain[:middle], compresslevel=0) + gzip.compress(plain[middle:], compresslevel=0)
    (tmp_path / "a.csv.gz").write_bytes(two)
    table = glimpse_log(tmp_path / "a.csv.gz")
    time = read_columns(table, [0]).numbers[0]
    assert len(table.data) < 3e6
    assert time[:3].tolist() == [0.0, 1.0, 2.0]
    assert time[-1] > 0.97 * rows
    assert (time[1:] > time[:-1]).all()
    (tmp_path / "cut.csv.gz").write_bytes(two[: 3 * len(two) // 4])
    assert read_columns(glimpse_log(tmp_path / "cut.csv.gz"), [0]).numbers[0][-1] > 0.7 * rows


def test_a_long_log_in_utf_16_is_read(tmp_path: Path) -> None:
    plain = written(tmp_path / "a.csv", 300_000).read_text(encoding="utf-8")
    (tmp_path / "wide.csv").write_bytes(plain.encode("utf-16"))
    assert read_columns(glimpse_log(tmp_path / "wide.csv"), [0]).rows == 300_000


def test_what_is_no_log_is_refused_in_the_same_words(tmp_path: Path) -> None:
    (tmp_path / "long.bin").write_bytes(bytes(range(256)) * 40_000)
    with pytest.raises(LogError) as caught:
        glimpse_log(tmp_path / "long.bin")
    assert caught.value.code == "binary-log"
    with pytest.raises(LogError) as caught:
        glimpse_log(tmp_path / "gone.csv")
    assert caught.value.code == "missing-file"
