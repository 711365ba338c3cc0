"""The files of a run: opened once each, however many channels they hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from isothrust.errors import IsothrustError, LogError, Problem, Where
from isothrust.ingest.assigning import assign
from isothrust.records.finding import Finding
from isothrust.records.rig import ChannelPlan, Rig
from isothrust.tables.inside import split_inside
from isothrust.tables.log import LogTable

__all__ = ["OpenFiles", "open_files"]

_LOSSY: Final = (".mp3", ".ogg", ".oga", ".opus", ".m4a", ".aac", ".wma")


@dataclass(frozen=True, slots=True)
class OpenFiles:
    """The tables of a run, and which channels have none."""

    tables: Mapping[str, LogTable]
    """Name of a table -> it; the path of a file that is one table, else with what names it in the file."""
    plans: Mapping[str, Mapping[str, ChannelPlan]]
    """Name of a table (path of a file that cannot be read) -> quantity -> plan."""
    paths: Mapping[str, str]
    """Name of a table -> path of its file, as the run names it."""
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
        elif path.lower().endswith(_LOSSY):
            findings.append(_lossy(run, quantity, path))
        else:
            plans.setdefault(path, {})[quantity] = plan
    found = _assigned(run, plans, rig, absent)
    problems = [*found.problems, *(problem for path in _unused(files, plans) for problem in _missing(run, path))]
    return OpenFiles(found.tables, found.plans, found.paths, tuple(problems), absent, tuple(findings))


@dataclass(frozen=True, slots=True)
class _Assigned:
    tables: dict[str, LogTable] = field(default_factory=dict)
    plans: dict[str, Mapping[str, ChannelPlan]] = field(default_factory=dict)
    paths: dict[str, str] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def _assigned(
    run: str, plans: Mapping[str, Mapping[str, ChannelPlan]], rig: Rig, absent: dict[str, Problem]
) -> _Assigned:
    """Open every file, and put each channel to the table that holds it; what a table lacks goes into `absent`."""
    found = _Assigned()
    for path, own in plans.items():
        try:
            parts = assign(path, own, rig)
        except LogError as error:
            problems = _for_run(error, run)
            if set(own) == {"sound"} and problems[0].code != "missing-file":
                absent["sound"] = problems[0]  # no load depends on it
            else:
                found.problems.extend(problems)
                found.plans[path] = own
            continue
        for part in parts:
            found.tables[part.table.file] = part.table
            found.plans[part.table.file] = part.plans
            found.paths[part.table.file] = path
            absent.update(part.absent)
    return found


def _unused(files: Mapping[str, str], plans: Mapping[str, object]) -> list[str]:
    return [path for path in dict.fromkeys(files.values()) if path and path not in plans]


def _missing(run: str, path: str) -> list[Problem]:
    """Return the problem of a file that the run names and that is not there; no channel need be read from it."""
    if Path(split_inside(path)[0]).exists():
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


def _lossy(run: str, quantity: str, path: str) -> Finding:
    return Finding(
        "channel-not-read",
        "note",
        f"{Path(path).name} is of a format that loses part of the sound; {quantity} is not read from it",
        run=run,
        channel=quantity,
        done="left out: record WAV or FLAC",
    )
