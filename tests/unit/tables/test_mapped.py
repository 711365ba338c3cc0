"""A long file is mapped, and whoever holds it does not notice."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from isothrust.errors import LogError
from isothrust.tables.columns import read_columns
from isothrust.tables.decoding import decode, decode_file
from isothrust.tables.log import log_of, open_log
from isothrust.tables.mapped import bytes_of_file, source_of

HEAD = b"time (s),rpm,thrust (gf)\n"


@pytest.fixture(scope="module")
def plain() -> bytes:
    rows = b"".join(b"%d.%03d,%d.5,%d.25\n" % (k // 1000, k % 1000, k % 9973, k % 1601) for k in range(900_000))
    return HEAD + rows


def long_file(folder: Path, data: bytes) -> Path:
    path = folder / "long [1].csv"  # brackets, which a pattern of names would take for a choice of letters
    path.write_bytes(data)
    return path


def test_a_long_file_is_mapped_and_a_short_one_copied(tmp_path: Path, plain: bytes) -> None:
    path = long_file(tmp_path, plain)
    assert source_of(bytes_of_file(path)) == str(path)
    short = tmp_path / "short.csv"
    short.write_bytes(HEAD)
    assert source_of(bytes_of_file(short)) == HEAD


def test_mapped_bytes_answer_as_bytes_do(tmp_path: Path, plain: bytes) -> None:
    mapped = bytes_of_file(long_file(tmp_path, plain))
    assert len(mapped) == len(plain)
    assert mapped[-20:] == plain[-20:]
    assert mapped.startswith(HEAD)
    assert not mapped.startswith(b"rpm")
    assert mapped.isascii()
    assert b"rpm" in mapped
    assert b"\r" not in mapped
    assert mapped.index(b"\n", 4) == plain.index(b"\n", 4)
    with pytest.raises(ValueError, match="not found"):
        mapped.index(b"\r")
    assert mapped.count(b"\n") == plain.count(b"\n")
    assert mapped.replace(b"rpm", b"U/min") == plain.replace(b"rpm", b"U/min")


@pytest.mark.parametrize(
    "change",
    [
        lambda data: data,
        lambda data: data.replace(b"gf", "µN".encode()),
        lambda data: data.replace(b"gf", b"\xb5N"),
        lambda data: data.replace(b"\n", b"\r\n"),
        lambda data: data.replace(b"\n", b"\r"),
        lambda data: b"\xef\xbb\xbf" + data,
        lambda data: data[:-3],
        lambda data: data.replace(b"\n5.", b"\n5.,", 1),
        lambda data: data.replace(b",", b"   "),
        lambda data: data.replace(b"rpm", b'"rpm"'),
        lambda data: data + b"mean,100,200\n",
        lambda data: data + b"\x00" * 400,
    ],
)
def test_a_mapped_log_reads_as_the_same_bytes_do(tmp_path: Path, plain: bytes, change) -> None:  # noqa: ANN001
    data = change(plain)
    path = str(long_file(tmp_path, data))
    table, copied = open_log(path), log_of(decode(data, file=path, kind=LogError), path)
    assert table.dialect == copied.dialect
    assert table.cut_last == copied.cut_last
    assert table.summary == copied.summary
    ours, theirs = read_columns(table, [0, 1, 2]), read_columns(copied, [0, 1, 2])
    assert ours.rows == theirs.rows > 890_000
    for column in range(3):
        np.testing.assert_array_equal(ours.numbers[column], theirs.numbers[column])


def test_an_odd_beginning_is_told_as_of_a_short_file(tmp_path: Path, plain: bytes) -> None:
    with pytest.raises(LogError) as told:
        decode_file(long_file(tmp_path, b"\x89HDF" + plain), kind=LogError)
    assert told.value.code == "binary-log"
