"""Whatever bytes a log holds, it is read or refused in words: no other exception, no value that is no number."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from isothrust.errors import IsothrustError
from isothrust.ingest import read_recording
from isothrust.records.recording import Recording
from isothrust.tables.text import read_string_table
from logs.truth import RIGS, ROWS

Result = TypeVar("Result")
LOGS = Path(__file__).parents[2] / "logs" / "good"
SEEDS = {
    "by head": (
        "comma.csv",
        "blanks.txt",
        "quoted-decimal-comma.csv",
        "units-row.csv",
        "utf-16.csv",
        "gzip.csv.gz",
        "groups-by-point.csv",
        "heads-and-units-in-groups.csv",
        "objects.jsonl",
        "long-form-units.csv",
    ),
    "by position": ("no-head-tab.txt", "frames-wrapped.txt"),
    "nested": ("objects-in-objects.jsonl",),
    "tagged": ("tagged.csv",),
    "blocks joined": ("blocks-side-by-side.csv",),
    "stamps": ("iso-zone.csv", "time-of-day-past-midnight.csv"),
    "rate": ("no-time-column.csv",),
}
CASES = [(rig, LOGS / rig.replace(" ", "-") / file) for rig, files in SEEDS.items() for file in files]

EDIT = st.tuples(
    st.sampled_from(["flip", "drop", "repeat", "insert", "cut"]),
    st.floats(0.0, 1.0),
    st.integers(1, 200),
    st.sampled_from(
        [b"\n", b"\r", b",", b";", b'"', b"\x00", b"\xff", b"-", b"1e999", b"nan", b"#", b"\t\t", b"\xe2\x82"]
    ),
)


def mutated(data: bytes, edits: list[tuple[str, float, int, bytes]]) -> bytes:
    for kind, where, length, bits in edits:
        at = int(where * len(data))
        if kind == "flip" and at < len(data):
            data = data[:at] + bytes([data[at] ^ (1 << length % 8)]) + data[at + 1 :]
        elif kind == "drop":
            data = data[:at] + data[at + length :]
        elif kind == "repeat":
            data = data[:at] + data[at : at + length] + data[at:]
        elif kind == "insert":
            data = data[:at] + bits + data[at:]
        elif kind == "cut":
            data = data[: max(at, 1)]
    return data


def attempt(read: Callable[[], Result]) -> Result | None:
    """Return what is read, or None where it is refused in words."""
    try:
        return read()
    except IsothrustError as error:
        problems = error.problems
    assert problems
    assert all(problem.code and problem.what and problem.fix for problem in problems)
    return None


def check(recording: Recording) -> None:
    for channel in recording.channels.values():
        assert channel.time.shape == channel.values.shape[:1]
        assert channel.time.size
        assert np.isfinite(channel.time).all()
        assert np.isfinite(channel.values).all()
    assert all(finding.message and finding.code for finding in recording.findings)


@pytest.mark.parametrize(("rig", "seed"), CASES, ids=lambda value: getattr(value, "name", value))
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(edits=st.lists(EDIT, min_size=1, max_size=6))
def test_a_damaged_log_is_read_or_refused_in_words(
    rig: str, seed: Path, tmp_path: Path, edits: list[tuple[str, float, int, bytes]]
) -> None:
    path = tmp_path / seed.name
    path.write_bytes(mutated(seed.read_bytes(), edits))
    recording = attempt(lambda: read_recording("r1", {"log": str(path)}, RIGS[rig]))
    if recording is not None:
        check(recording)
        # Repeats add at most a few rows; each of three sources has rows of its own, and each of seven readings, where a
        # broken row parts those of one time.
        assert all(source.rows <= 8 * ROWS + 10 for source in recording.sources)


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.one_of(st.binary(max_size=400), st.text(alphabet='0123456789,;.\t\n\r"#- ea[]{}:|', max_size=400)))
def test_any_bytes_are_read_or_refused_in_words(tmp_path: Path, data: bytes | str) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    for rig in ("by position", "rate"):
        recording = attempt(lambda rig=rig: read_recording("r1", {"log": str(path)}, RIGS[rig]))  # type: ignore[misc]
        if recording is not None:
            check(recording)
    table = attempt(lambda: read_string_table(path))
    if table is not None:
        assert all(len(row.cells) == len(table.heads) for row in table.rows)
