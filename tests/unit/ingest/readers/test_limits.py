"""What would fill the memory, or is no log whatever it holds, is refused soon and says why."""

from __future__ import annotations

import gzip
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import h5py
import numpy as np
import psutil
import pytest

from isothrust.errors import LogError
from isothrust.ingest import read_recording
from isothrust.tables.decoding import decode
from logs.truth import HEADS, rig

MEGABYTE = 1 << 20
ZEROS = bytes(400 * MEGABYTE)


def zip_bomb(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        archive.writestr("r.csv", ZEROS)


def zip_bomb_that_lies(path: Path) -> None:
    zip_bomb(path)
    told = len(ZEROS).to_bytes(4, "little")
    path.write_bytes(path.read_bytes().replace(told, (1000).to_bytes(4, "little")))


def gzip_bomb(path: Path) -> None:
    path.write_bytes(gzip.compress(ZEROS, 1))


def workbook_bomb(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/workbook.xml", "<workbook/>")
        archive.writestr("xl/worksheets/sheet1.xml", ZEROS)


def archive_in_archive(path: Path) -> None:
    inner = path.with_name("inner.zip")
    with zipfile.ZipFile(inner, "w") as archive:
        archive.writestr("r.csv", "t,rpm\n1,2\n")
    with zipfile.ZipFile(path, "w") as archive:
        archive.write(inner, "inner.zip")


def dataset_bomb(path: Path) -> None:
    with h5py.File(path, "w") as file:
        for head in HEADS:
            file.create_dataset(head, shape=(10**9,), dtype="f8", chunks=(10**5,), fillvalue=1.0)


def long_line(path: Path) -> None:
    path.write_bytes(b"t,rpm\n" + b"1,2," * (16 * MEGABYTE))


def many_columns(path: Path) -> None:
    row = ",".join(map(str, range(100_000)))
    path.write_text(",".join(f"c{k}" for k in range(100_000)) + f"\n{row}\n{row}\n{row}\n", encoding="utf-8")


CASES: list[tuple[str, Callable[[Path], None], str]] = [
    ("r.zip", zip_bomb, "expands-too-far"),
    ("lie.zip", zip_bomb_that_lies, "expands-too-far"),
    ("r.csv.gz", gzip_bomb, "expands-too-far"),
    ("r.xlsx", workbook_bomb, "expands-too-far"),
    ("nested.zip", archive_in_archive, "nested-archive"),
    ("r.h5", dataset_bomb, "expands-too-far"),
    ("r.csv", long_line, "line-too-long"),
    ("wide.csv", many_columns, "too-many-columns"),
]


@pytest.mark.parametrize(("name", "write", "code"), CASES, ids=[name for name, _, _ in CASES])
def test_it_is_refused_soon_and_in_little_memory(
    tmp_path: Path, name: str, write: Callable[[Path], None], code: str
) -> None:
    path = tmp_path / name
    write(path)
    before, start = psutil.Process().memory_info().rss, time.perf_counter()
    with pytest.raises(LogError) as caught:
        read_recording("r1", {"log": str(path)}, rig())
    taken = time.perf_counter() - start
    (problem,) = caught.value.problems
    assert problem.code == code
    assert problem.where is not None
    assert problem.fix
    assert taken < 15.0
    assert psutil.Process().memory_info().rss - before < 10 * path.stat().st_size + 64 * MEGABYTE


def test_numbers_that_repeat_for_long_are_no_bomb(tmp_path: Path) -> None:
    path = tmp_path / "r.csv.gz"
    rows = "".join(f"{k / 100:.2f}," + ",".join(["0.0"] * (len(HEADS) - 1)) + "\n" for k in range(20_000))
    path.write_bytes(gzip.compress((",".join(HEADS) + "\n" + rows).encode(), 9))
    recording = read_recording("r1", {"log": str(path)}, rig())
    assert recording.sources[0].rows == 20_000
    assert np.all(recording.channels["speed"].values == 0.0)


def test_gzip_that_grows_twelvefold_is_counted_first_and_then_read_whole() -> None:
    text = b"t,x\n" + b"".join(b"%d,0.0000000000000000000000000000,0.0\n" % k for k in range(1_100_000))
    half = text.index(b"\n", len(text) // 2) + 1
    packed = gzip.compress(text[:half]) + gzip.compress(text[half:])  # two streams, as some loggers write them
    assert len(text) > 10 * len(packed)
    assert len(text) > 1 << 25
    whole = decode(packed, file="r.csv.gz", kind=LogError)
    assert whole.data == text
    assert not whole.cut
    cut = decode(packed[:-500], file="r.csv.gz", kind=LogError)
    assert cut.cut
    assert text.startswith(cut.data)
