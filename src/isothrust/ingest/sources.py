"""The files of a run: opened once each, however many channels they hold."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from isothrust.errors import IsothrustError, LogError, Problem, Where
from isothrust.records.finding import Finding
from isothrust.records.rig import ChannelPlan, Rig
from isothrust.tables.log import LogTable, open_log

__all__ = ["OpenFiles", "open_files"]

_WAVEFORMS = (".wav", ".flac", ".aif", ".aiff", ".ogg", ".mp3", ".w64")


@dataclass(frozen=True, slots=True)
class OpenFiles:
    """The tables of a run, and which channels have none."""

    tables: Mapping[str, LogTable]
    """Path -> table."""
    plans: Mapping[str, Mapping[str, ChannelPlan]]
    """Path -> quantity -> plan."""
    problems: tuple[Problem, ...]
    """Files that cannot be read."""
    absent: Mapping[str, Problem]
    """Quantity -> why its file is not there, where the run names none."""
    findings: tuple[Finding, ...]


def open_files(run: str, files: Mapping[str, str], rig: Rig) -> OpenFiles:
    """Open every file that the rig's channels are read from."""
    plans: dict[str, dict[str, ChannelPlan]] = {}
    absent: dict[str, Problem] = {}
    findings: list[Finding] = []
    for quantity, plan in rig.channels.items():
        path = files.get(plan.file, "")
        if not path:
            absent[quantity] = _no_file(run, plan)
        elif path.lower().endswith(_WAVEFORMS):
            findings.append(_waveform(run, quantity, path))
        elif not plan.picks and plan.rate is None:
            absent[quantity] = _no_column(plan, path, rig)
        else:
            plans.setdefault(path, {})[quantity] = plan
    tables: dict[str, LogTable] = {}
    problems: list[Problem] = []
    for path in plans:
        try:
            tables[path] = open_log(path)
        except LogError as error:
            problems += _for_run(error, run)
    problems += [problem for path in _unused(files, plans) for problem in _missing(run, path)]
    return OpenFiles(tables, plans, tuple(problems), absent, tuple(findings))


def _unused(files: Mapping[str, str], plans: Mapping[str, object]) -> list[str]:
    return [path for path in dict.fromkeys(files.values()) if path and path not in plans]


def _missing(run: str, path: str) -> list[Problem]:
    """Return the problem of a file that the run names and that is not there; no channel need be read from it."""
    if Path(path).exists():
        return []
    return [
        Problem(
            "missing-file",
            f'there is no file "{Path(path).name}"' + (f", which run {run} names" if run else ""),
            Where(path),
            "an existing file",
            "copy the file there, or correct its name where it is referred to",
        )
    ]


def _for_run(error: IsothrustError, run: str) -> tuple[Problem, ...]:
    """Name the run in the problem of a missing file: that is what has to be mended."""
    return tuple(
        problem
        if problem.code != "missing-file" or not run or problem.where is None
        else _missing(run, problem.where.file)[0]
        for problem in error.problems
    )


def _no_file(run: str, plan: ChannelPlan) -> Problem:
    return Problem(
        "missing-file",
        f"run {run} names no {plan.file} file, from which the rig reads {plan.quantity}",
        None,
        f"a path in the column {plan.file} of runs.csv",
        f"write the path of the recording under {plan.file} in runs.csv",
    )


def _no_column(plan: ChannelPlan, path: str, rig: Rig) -> Problem:
    return Problem(
        "missing-column",
        f"the rig names no column for {plan.quantity}",
        Where(os.fspath(path)),
        "a head's text or a position from 1",
        f'add  column = "…"  under [channels.{plan.quantity}] in rigs/{rig.name}.toml',
    )


def _waveform(run: str, quantity: str, path: str) -> Finding:
    return Finding(
        "channel-not-read",
        "note",
        f"{Path(path).name} is a waveform file; {quantity} is not read from it",
        run=run,
        channel=quantity,
        done="left for the sound and vibration analysis",
    )
