"""`check --pictures`: one file a finding in a folder, and what is told of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path

from isothrust.cli.picture_files import check_free
from isothrust.cli.progress import progress_bar
from isothrust.errors import UsageError, Where
from isothrust.present.charts.signature import PictureKind
from isothrust.present.table import Table
from isothrust.records.finding import Finding
from isothrust.tables.atomic import write_bytes
from isothrust.workflows.check import CheckedRun
from isothrust.workflows.finding_pictures import FindingsJob, findings_drawn, picture_names

__all__ = ["DrawnFinding", "draw_into", "pictures_table"]

LISTED = 12
"""Pictures that are listed; of more the folder alone is told."""


@dataclass(frozen=True, slots=True)
class DrawnFinding:
    """One finding of a run or loose file, and its picture."""

    campaign: str
    run: str
    finding: Finding
    path: Path | None
    absent: str

    def words(self) -> dict[str, object]:
        """Return what `--json` says of it."""
        return {"picture": None if self.path is None else str(self.path), "no_picture": self.absent or None}


def draw_into(
    folder: Path, kind: PictureKind, checked: Sequence[CheckedRun], executor: Executor | None
) -> list[DrawnFinding]:
    """Draw every finding that has a place in its recording, and write the pictures into the folder.

    Raises
    ------
    UsageError
        `file-in-the-way`, where a file of that name is no picture of the same finding. Nothing is then written.
    """
    if folder.exists() and not folder.is_dir():
        raise UsageError(
            f"{folder} is there already, and is no folder",
            code="file-in-the-way",
            where=Where(f"--pictures {folder}"),
            expected="a folder, or a name that is free",
            fix="--pictures with another name",
        )
    jobs = [_job(one, kind) for one in checked if one.findings]
    for job in jobs:
        for name in job.names:
            check_free(folder / f"{name}.{kind}", name, option="--pictures")
    return list(_written(folder, jobs, executor))


def _job(one: CheckedRun, kind: PictureKind) -> FindingsJob:
    return FindingsJob(one.job, one.findings, picture_names(one.job, one.findings), kind)


def _written(folder: Path, jobs: Sequence[FindingsJob], executor: Executor | None) -> Iterator[DrawnFinding]:
    folder.mkdir(parents=True, exist_ok=True)
    total = sum(len(job.findings) for job in jobs)
    done = 0
    with progress_bar() as bar:
        bar(0, 0, f"drawing {total} findings")
        for job, drawn in findings_drawn(jobs, executor):
            run = job.job.run
            for one in drawn:
                path = folder / f"{one.name}.{job.kind}"
                if one.content is not None:
                    write_bytes(path, one.content)
                there = None if one.content is None else path
                yield DrawnFinding(run.campaign, run.name, one.finding, there, one.absent)
            done += len(drawn)
            bar(done, total, run.name)


def pictures_table(folder: Path, drawn: Sequence[DrawnFinding]) -> Table:
    """Return which pictures were drawn, and why the others were not."""
    there = [one.path for one in drawn if one.path is not None]
    rows = [(path.name,) for path in there] if len(there) <= LISTED else []
    without: dict[tuple[str, str], list[str]] = {}
    for one in drawn:
        if one.path is None:
            without.setdefault((one.finding.code, one.absent), []).append(one.run)
    notes = [
        f"no picture of {code} ({runs[0] if len(runs) == 1 else f'{len(runs)} runs'}): {reason}"
        for (code, reason), runs in without.items()
    ]
    title = f"{len(there)} picture{'' if len(there) == 1 else 's'} in {folder}"
    return Table(title, (), tuple(rows), frozenset({0}), tuple(notes))
