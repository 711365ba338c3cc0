"""Recordings beside a run that make its sound mean something: of a calibrator, and of the room with nothing running."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from isothrust.errors import LogError
from isothrust.ingest.assigning import assign
from isothrust.ingest.reading import choose, make_channel, read_table
from isothrust.records.finding import Finding
from isothrust.records.recording import Channel
from isothrust.records.rig import Rig

__all__ = ["BESIDE", "read_besides"]

BESIDE: Final = ("calibrator", "background")
"""Columns of runs.csv that name such recordings: read as the run's own sound is."""


def read_besides(files: Mapping[str, str], rig: Rig, run: str) -> tuple[dict[str, Channel], list[Finding]]:
    """Return the recordings beside a run by kind, each on a clock of its own, and why one cannot be read."""
    found: dict[str, Channel] = {}
    findings: list[Finding] = []
    for kind in BESIDE:
        path = files.get(kind, "")
        if not path or "sound" not in rig.channels:
            continue
        made = _read(path, rig)
        if isinstance(made, Channel):
            found[kind] = made
        else:
            findings.append(_not_read(kind, path, made, run))
    return found, findings


def _read(path: str, rig: Rig) -> Channel | str:
    try:
        parts = assign(path, {"sound": rig.channels["sound"]}, rig)
        reading = choose(parts[0].table, parts[0].plans, rig.channels.get("time"), rig.name)
        made = make_channel("sound", read_table(reading))
    except LogError as error:
        return error.problems[0].what
    return made if isinstance(made, Channel) else made.what


def _not_read(kind: str, path: str, why: str, run: str) -> Finding:
    without = {
        "calibrator": "levels rest on the stated sensitivity, if there is one",
        "background": "the background is taken from the run's own rest, if it has one",
    }[kind]
    return Finding(
        f"{kind}-not-read",
        "warning",
        f"the {kind} recording {Path(path).name} cannot be read: {why}",
        run=run,
        channel="sound",
        effect=without,
        done="left out",
    )
