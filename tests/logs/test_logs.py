"""Every file of good/ reads to the same run; every file of bad/ says what is pinned beside it."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from isothrust.errors import IsothrustError
from isothrust.ingest import read_recording
from isothrust.records.recording import Recording
from isothrust.records.rig import Rig
from logs import make_logs
from logs.truth import RIGS, channels

HERE = Path(__file__).parent
GOOD = sorted(path for path in (HERE / "good").rglob("*") if path.is_file())
BAD = sorted(path for path in (HERE / "bad").iterdir() if not path.name.endswith(".expected.toml"))


def _read(path: Path, rig: Rig) -> Recording:
    return read_recording("r1", {"log": str(path)}, rig)


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.name)
def test_the_same_run_reads_to_the_same_channels_in_any_dialect(path: Path) -> None:
    recording = _read(path, RIGS[path.parent.name.replace("-", " ")])
    assert recording.findings == ()
    truth = channels()
    assert set(recording.channels) == set(truth)
    for quantity, (time, values) in truth.items():
        channel = recording.channels[quantity]
        np.testing.assert_allclose(channel.time, time, rtol=0, atol=3e-7, err_msg=quantity)
        np.testing.assert_allclose(channel.values, values, rtol=1e-12, atol=1e-12, err_msg=quantity)
    sources = 3 if path.parent.name == "tagged" else 1  # each with rows of its own
    assert recording.sources[0].rows == sources * len(truth["speed"][0])


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.name)
def test_a_defect_is_said_as_pinned_beside_the_file(path: Path) -> None:
    expected = tomllib.loads(path.with_name(f"{path.name}.expected.toml").read_text(encoding="utf-8"))
    rig = RIGS[expected.get("rig", "by head")]
    if "error" in expected:
        with pytest.raises(IsothrustError) as caught:
            _read(path, rig)
        assert {problem.code for problem in caught.value.problems} == {expected["error"]}
        assert len(caught.value.problems) == expected.get("problems", len(caught.value.problems))
        for problem in caught.value.problems:
            assert problem.where is not None
            assert problem.where.file == str(path)
            assert problem.expected
            assert problem.fix
        return
    recording = _read(path, rig)
    found = [(finding.code, finding.channel, finding.count) for finding in recording.findings]
    assert found == [(each["code"], each.get("channel"), each.get("count")) for each in expected["findings"]]
    for finding, each in zip(recording.findings, expected["findings"], strict=True):
        assert finding.run == "r1"
        numbers = [int(number) for number in re.findall(r"\d+", finding.message)]
        assert set(each["lines"]) <= set(numbers), finding.message


READABLE = [path for path in BAD if "error" not in path.with_name(f"{path.name}.expected.toml").read_text("utf-8")]


@pytest.mark.parametrize("path", READABLE, ids=lambda path: path.name)
def test_what_can_be_read_of_a_defective_log_is_right_and_nothing_is_made_up(path: Path) -> None:
    expected = tomllib.loads(path.with_name(f"{path.name}.expected.toml").read_text(encoding="utf-8"))
    recording = _read(path, RIGS[expected.get("rig", "by head")])
    late = 1 if "truncated-first-line" in path.name else 0  # the clock starts at the first whole row
    for quantity, channel in recording.channels.items():
        rows = np.round(channel.time * 100.0).astype(int) + late
        np.testing.assert_allclose(channel.time, 0.01 * (rows - late), atol=1e-9)
        np.testing.assert_allclose(channel.values, channels(rows)[quantity][1], rtol=1e-12, atol=1e-12)
        assert len(rows) >= 40


def test_the_files_are_those_that_the_script_writes() -> None:
    written = {f"{name.replace(' ', '-')}": data for name, data in make_logs.good().items()}
    assert {str(path.relative_to(HERE / "good").as_posix()): path.read_bytes() for path in GOOD} == written
    assert {path.name: path.read_bytes() for path in BAD} == {name: data for name, (data, _) in make_logs.bad().items()}
