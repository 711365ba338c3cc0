"""Files of ../shared/field held against what is expected of them."""

from __future__ import annotations

import csv
import re
from functools import lru_cache
from pathlib import Path
from typing import Final

import numpy as np
import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.errors import IsothrustError
from isothrust.ingest import read_recording
from isothrust.ingest.readers.choosing import contents_of
from isothrust.ingest.readers.contract import Contents, NamedTable
from isothrust.ingest.readers.numeric import columns_of
from isothrust.records.recording import Channel, Floats, Recording
from isothrust.records.rig import Rig
from support.field import FIELD, RIGS
from support.field_expected.forms import Expected, Parts, Reads, Refused, Series, Table, series_of

__all__ = ["check"]

CLOCK: Final = '[channels.time]\ncolumn = "t"\nunit = "s"\n'
LOAD: Final = '[channels.thrust]\ncolumn = "load"\nunit = "gf"\n'
"""What a rig reads in the log that stands beside a vibration or sound file; the clock unless the rig has its own."""
CLOCK_OF_RIG: Final = re.compile(r'\[channels\.time\]\ncolumn = "(.+)"\n')
BESIDE_ROWS: Final = 11


def check(file: str, expected: Expected, folder: Path) -> None:
    """Assert that a file reads as expected; `folder` is for what has to be written meanwhile."""
    path = FIELD / file
    match expected:
        case Reads():
            check_run(path, expected, folder)
        case Table():
            check_table(path, expected)
        case Parts():
            check_parts(path, expected)
        case Refused():
            check_refusal(path, expected, folder)


@lru_cache(maxsize=2)
def opened(path: Path) -> Contents:
    """Open a file once for all that is expected of it: a workbook takes its time."""
    return contents_of(path)


def rig_of(text: str, folder: Path, *, beside: bool) -> Rig:
    path = RIGS / f"{text}.toml"
    if "\n" in text:
        path = folder / "rig.toml"
        above = (LOAD if CLOCK_OF_RIG.search(text) else CLOCK + LOAD) if beside else ""
        path.write_text(above + text, encoding="utf-8")
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 30
    rig, findings = parse_rig(path)
    assert findings == ()
    return rig


def read(path: Path, expected: Reads | Refused, folder: Path) -> Recording:
    inside = expected.inside if isinstance(expected, Reads) else ""
    files = {expected.file: f"{path}/{inside}" if inside else str(path)}
    if expected.file != "log":
        files["log"] = str(folder / "log.csv")
        with (folder / "log.csv").open("w", newline="", encoding="utf-8") as stream:
            clock = CLOCK_OF_RIG.search(expected.rig)
            head = clock[1] if clock else "t"
            csv.writer(stream).writerows([(head, "load"), *((row, 10 * row) for row in range(BESIDE_ROWS))])
    return read_recording("r", files, rig_of(expected.rig, folder, beside=expected.file != "log"))


def check_run(path: Path, expected: Reads, folder: Path) -> None:
    recording = read(path, expected, folder)
    wanted = series_of(expected.channels)
    own = {name for name in recording.channels if expected.file == "log" or name != "thrust"}
    assert own == {series.name.partition(".")[0] for series in wanted}
    for series in wanted:
        name, _, axis = series.name.partition(".")
        check_channel(recording.channels[name], series, axis)
    check_findings(recording, expected)
    if own:
        check_clock(path, recording, own, expected)


def check_findings(recording: Recording, expected: Reads) -> None:
    assert sorted(finding.code for finding in recording.findings) == sorted(expected.codes)
    told = " ".join(finding.message for finding in recording.findings)
    assert [words for words in expected.says if words not in told] == []


def check_clock(path: Path, recording: Recording, own: set[str], expected: Reads) -> None:
    channels = [recording.channels[name] for name in own]
    assert min(float(channel.time[0]) for channel in channels) == pytest.approx(0.0, abs=0.05)
    assert max(float(channel.time[-1]) for channel in channels) == pytest.approx(expected.seconds, abs=2e-6)
    if expected.step is not None:
        for channel in channels:
            assert np.diff(channel.time) == pytest.approx(expected.step, rel=1e-6)
    (source,) = [each for each in recording.sources if each.file.startswith(str(path))]
    assert source.rows == expected.rows


def check_channel(channel: Channel, series: Series, axis: str) -> None:
    values = channel.values[:, int(axis) - 1] if axis else channel.values
    assert values.ndim == 1
    check_numbers(values, series)


def check_numbers(values: Floats, series: Series) -> None:
    assert values.size == series.count, series.name
    least, greatest = sorted((series.in_si(series.least), series.in_si(series.greatest)))  # a sign may turn them round
    size = max(abs(least), abs(greatest))
    for name, found, wanted, precision in (
        ("first", values[0], series.in_si(series.first), 1e-9),
        ("last", values[-1], series.in_si(series.last), 1e-9),
        ("least", values.min(), least, 1e-9),
        ("greatest", values.max(), greatest, 1e-9),
        ("mean", values.mean(), series.in_si(series.mean), 1e-7),
    ):
        assert float(found) == pytest.approx(wanted, rel=precision, abs=precision * size), (series.name, name)


def check_table(path: Path, expected: Table) -> None:
    contents = opened(path)
    (held,) = [each for each in contents.tables if each.name == expected.name or not expected.name]
    table = held.table if expected.block is None else held.blocks[expected.block - 1]
    assert table.dialect.width == expected.width
    assert tuple(head.text for head in table.heads)[: len(expected.heads)] == expected.heads
    wanted = series_of(expected.columns)
    columns = columns_of(table, [int(series.name) - 1 for series in wanted])
    for series in wanted:
        values = columns.numbers[int(series.name) - 1]
        check_numbers(values[np.isfinite(values)], series)


def check_parts(path: Path, expected: Parts) -> None:
    contents = opened(path)
    assert len(contents.tables) == expected.tables
    assert set(expected.names) <= {each.name for each in contents.tables}
    assert {len(each.blocks) for each in contents.tables} == set(expected.blocks)
    assert set(contents.skipped) == set(expected.skipped)
    for name, words in expected.skipped.items():
        assert words in contents.skipped[name]
    if expected.totals is not None:
        counts, sums = zip(*(total(each, expected.head) for each in contents.tables), strict=True)
        assert sum(counts) == expected.totals[0]
        assert sum(sums) == pytest.approx(expected.totals[1], rel=1e-9)


def total(named: NamedTable, head: str) -> tuple[int, float]:
    """Return how many numbers stand under a head in all blocks of a table, and their sum."""
    count, whole = 0, 0.0
    for block in named.blocks:
        places = [place for place, each in enumerate(block.heads) if each.text == head]
        for values in columns_of(block, places).numbers.values():
            count += int(np.isfinite(values).sum())
            whole += float(np.nansum(values))
    return count, whole


def check_refusal(path: Path, expected: Refused, folder: Path) -> None:
    with pytest.raises(IsothrustError) as caught:
        read(path, expected, folder) if expected.rig else contents_of(path)
    assert expected.code in {problem.code for problem in caught.value.problems}
    told = str(caught.value)
    assert [words for words in expected.says if words not in told] == []
    assert all(problem.expected and problem.fix for problem in caught.value.problems)
