"""What the program advises for a waveform of several channels, followed to the letter, reads it."""

from __future__ import annotations

import csv
import re
import wave
from pathlib import Path

import numpy as np
import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.ingest import read_recording
from isothrust.ingest.assigning import assign
from isothrust.records.recording import Recording

LOG = '[channels.time]\ncolumn = "t"\nunit = "s"\n[channels.thrust]\ncolumn = "load"\nunit = "gf"\n'


def recorded(folder: Path, kind: str, channel: str, width: int) -> Recording:
    with (folder / "log.csv").open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream).writerows([("t", "load"), *((row, 10 * row) for row in range(11))])
    samples = np.stack([np.full(100, 1000 * (place + 1), dtype="<i2") for place in range(width)], axis=1)
    with wave.open(str(folder / "w.wav"), "wb") as stream:
        stream.setnchannels(width)
        stream.setsampwidth(2)
        stream.setframerate(1000)
        stream.writeframes(samples.tobytes())
    (folder / "rig.toml").write_text(LOG + channel, encoding="utf-8")
    rig, _ = parse_rig(folder / "rig.toml")
    return read_recording("r", {"log": str(folder / "log.csv"), kind: str(folder / "w.wav")}, rig)


@pytest.mark.parametrize(
    ("kind", "quantity", "bare", "width"),
    [
        ("sound", "sound", "", 2),
        ("vibration", "acceleration", 'unit = "1"\nscale = "156.9 m/s2"\n', 3),
    ],
)
def test_advice_on_several_channels_can_be_followed(
    tmp_path: Path, kind: str, quantity: str, bare: str, width: int
) -> None:
    section = f'[channels.{quantity}]\nfile = "{kind}"\n'
    asked = recorded(tmp_path, kind, section + bare, width)
    assert quantity not in asked.channels
    opened = asked_fix(tmp_path, kind, section + bare)
    keys = re.findall(r'(\w+ = (?:\[.*?\]|".*?"|\d+))', opened)
    followed = recorded(tmp_path, kind, section + "\n".join(keys).replace("…", "156.9"), width)
    assert followed.channels[quantity].values[0] == pytest.approx(
        [156.9 * 1000 * place / 32768 for place in (1, 2, 3)] if width == 3 else 1000 / 32768
    )


def asked_fix(folder: Path, kind: str, section: str) -> str:
    """Return the advice itself: the fix of the channel that nobody chose."""
    (folder / "rig.toml").write_text(LOG + section, encoding="utf-8")
    rig, _ = parse_rig(folder / "rig.toml")
    plans = {name: plan for name, plan in rig.channels.items() if plan.file == kind}
    (part,) = assign(str(folder / "w.wav"), plans, rig)
    (problem,) = part.absent.values()
    assert problem.fix is not None
    return problem.fix
