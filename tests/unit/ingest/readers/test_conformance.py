"""Every reader, held to one run: the same channels, the words that say how it was read, errors that say what to do."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from isothrust.errors import LogError
from isothrust.ingest import read_recording
from isothrust.ingest.readers.choosing import READERS, choose_reader, contents_of, specimen_of
from isothrust.records.rig import ChannelPlan, ColumnPick, Rig
from logs.truth import ROWS, channels, rig
from support.formats import WRITERS

FORMATS = pytest.mark.parametrize("name", WRITERS)


def written(folder: Path, name: str) -> Path:
    file, write = WRITERS[name]
    write(folder / file)
    return folder / file


def rig_of(name: str) -> Rig:
    """Return the rig by heads; of a waveform, which has none and keeps its own time, the same by position."""
    if name != "waveform":
        return rig()
    places = {"throttle": (1,), "speed": (2,), "thrust": (3,), "torque": (4, 5), "voltage": (6,), "current": (7,)}
    plans = {"time": ChannelPlan("time", rate=100.0)}
    for quantity, positions in places.items():
        plan = rig().channels[quantity]
        picks = [
            ColumnPick(position=place, arm=pick.arm, weight=pick.weight)
            for place, pick in zip(positions, plan.picks, strict=True)
        ]
        plans[quantity] = replace(plan, picks=tuple(picks))
        if plan.unit == "us":  # a throttle in its own unit is not told of volts or counts
            plans[quantity] = replace(plans[quantity], unit=None)
    plans["voltage"] = replace(plans["voltage"], full_scale=1.0)
    return Rig("bench", "Test bench", plans)


@FORMATS
def test_the_run_reads_to_the_same_channels_in_every_format(tmp_path: Path, name: str) -> None:
    path = written(tmp_path, name)
    recording = read_recording("r1", {"log": str(path)}, rig_of(name), hashes={"log": "f" * 64})
    for quantity, (time, values) in channels().items():
        read = recording.channels[quantity]
        np.testing.assert_allclose(read.time, time, atol=1e-9, err_msg=quantity)
        np.testing.assert_allclose(read.values, values, rtol=1e-9, atol=1e-12, err_msg=quantity)
    assert set(recording.channels) == set(channels())
    assert not [finding for finding in recording.findings if finding.severity != "note"]


@FORMATS
def test_the_source_says_file_hash_rows_and_how_it_was_read(tmp_path: Path, name: str) -> None:
    path = written(tmp_path, name)
    recording = read_recording("r1", {"log": str(path)}, rig_of(name), hashes={"log": "f" * 64})
    (source,) = recording.sources
    assert (source.file, source.sha256, source.rows) == (str(path), "f" * 64, ROWS)
    words = {"waveform": "WAV, 100 Hz, 64-bit floating point", "zip": "comma", "delimited text": "comma"}
    assert source.dialect.startswith(words.get(name, "comma" if "gzip" in name else name.partition(", ")[0]))


@FORMATS
def test_each_file_is_claimed_by_its_own_reader_alone_whatever_it_is_called(tmp_path: Path, name: str) -> None:
    path = written(tmp_path, name)
    renamed = path.rename(tmp_path / "recording")
    specimen = specimen_of(renamed)
    chosen = choose_reader(specimen)
    assert chosen.name == {"MATLAB 7.3": "HDF5"}.get(name, name.partition(", ")[0])
    sure = [reader.name for reader in READERS if reader.claim(specimen) == chosen.claim(specimen)]
    assert sure == [chosen.name]


@FORMATS
def test_a_column_that_is_not_there_is_told_with_what_there_is(tmp_path: Path, name: str) -> None:
    path = written(tmp_path, name)
    plans = dict(rig_of(name).channels)
    plans["speed"] = replace(plans["speed"], picks=(ColumnPick(head="rotor"),))
    del plans["thrust"]
    with pytest.raises(LogError) as caught:
        read_recording("r1", {"log": str(path)}, Rig("bench", "Bench", plans))
    (problem,) = caught.value.problems
    assert problem.code == "missing-column"
    assert problem.where is not None
    assert problem.where.file.startswith(str(path))
    assert problem.expected is not None
    assert ("channel 1" if name == "waveform" else "rpm") in problem.expected
    assert problem.fix is not None
    assert "[channels.speed]" in problem.fix


@pytest.mark.parametrize("name", [name for name in WRITERS if name != "waveform" and not name.startswith("delimited")])
@pytest.mark.parametrize("share", [0.3, 0.9])
def test_a_file_that_breaks_off_is_refused_and_says_so(tmp_path: Path, name: str, share: float) -> None:
    path = written(tmp_path, name)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(share * len(whole))])
    with pytest.raises(LogError) as caught:
        read_recording("r1", {"log": str(path)}, rig_of(name))
    assert {problem.code for problem in caught.value.problems} <= {"damaged-file", "binary-log"}
    assert all(problem.where and problem.expected and problem.fix for problem in caught.value.problems)


def test_a_waveform_that_breaks_off_is_read_as_far_as_it_goes(tmp_path: Path) -> None:
    path = written(tmp_path, "waveform")
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    recording = read_recording("r1", {"log": str(path)}, rig_of("waveform"))
    read = recording.channels["speed"].values
    assert 0.4 * ROWS < read.size < 0.6 * ROWS
    np.testing.assert_allclose(read, channels()["speed"][1][: read.size])


@FORMATS
def test_a_file_that_is_not_there_is_told_by_name(tmp_path: Path, name: str) -> None:
    with pytest.raises(LogError) as caught:
        contents_of(tmp_path / WRITERS[name][0])
    assert caught.value.code == "missing-file"
