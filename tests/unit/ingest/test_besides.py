"""Recordings of a calibrator and of the room alone: read beside a run, or told why not."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from isothrust.ingest.besides import read_besides
from isothrust.records.rig import ChannelPlan, ColumnPick, Rig

RATE = 8000


def rig() -> Rig:
    plan = ChannelPlan("sound", (ColumnPick(position=1),), unit="1", file="sound")
    return Rig("bench", "Bench", {"sound": plan})


def tone(path: Path) -> str:
    soundfile.write(path, 0.25 * np.sin(2 * np.pi * 1000.0 * np.arange(RATE) / RATE), RATE, subtype="PCM_16")
    return str(path)


def test_recordings_beside_a_run_have_clocks_of_their_own(tmp_path: Path) -> None:
    found, told = read_besides({"calibrator": tone(tmp_path / "cal.wav")}, rig(), "r1")
    assert told == []
    assert list(found) == ["calibrator"]
    assert found["calibrator"].time.size == RATE
    assert found["calibrator"].values.std() == pytest.approx(0.25 / np.sqrt(2.0), rel=1e-3)


@pytest.mark.parametrize(
    ("kind", "code"), [("calibrator", "calibrator-not-read"), ("background", "background-not-read")]
)
@pytest.mark.parametrize("content", [None, b"", b"RIFF\x24\x00\x00\x00WAVEfmt "])
def test_one_that_cannot_be_read_is_told_and_left_out(
    tmp_path: Path, kind: str, code: str, content: bytes | None
) -> None:
    path = tmp_path / "beside.wav"
    if content is not None:
        path.write_bytes(content)
    found, (finding,) = read_besides({kind: str(path)}, rig(), "r1")
    assert found == {}
    assert (finding.code, finding.severity, finding.run, finding.channel) == (code, "warning", "r1", "sound")
    assert "beside.wav" in finding.message
