"""What `reduce` did, run by run."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from isothrust.present.findings_table import findings_verdict
from isothrust.present.table import Mark, Table
from isothrust.records.book import Decision
from isothrust.records.reduced import ReducedRun
from isothrust.records.standing import Standing, last_decisions, standing_of

__all__ = ["Done", "run_objects", "runs_table"]

Names = Collection[tuple[str, str]]
ORDER: Final = ("reduced", "up to date", "accepted", "left out", "set aside", "not reduced")


@dataclass(frozen=True, slots=True)
class Done:
    """What a `reduce` did."""

    reduced: Names
    failed: Names
    decisions: tuple[Decision, ...] = ()


def _states(runs: Sequence[ReducedRun], done: Done) -> list[str]:
    holding = last_decisions(done.decisions)
    return [_state(run, standing_of(run, holding), done) for run in runs]


def _state(run: ReducedRun, standing: Standing, done: Done) -> str:
    name = (run.campaign, run.run)
    if standing.left_out:
        return "left out"
    if name in done.failed:
        return "not reduced"
    if standing.fails:
        return "accepted" if standing.accepted else "set aside"
    return "reduced" if name in done.reduced else "up to date"


def runs_table(title: str, runs: Sequence[ReducedRun], done: Done) -> Table:
    """Return a row for each run that failed, was decided on or has a warning; the rest is counted."""
    states = _states(runs, done)
    rows = []
    marks: list[Mark] = []
    for run, state in zip(runs, states, strict=True):
        if state == "up to date" or (state == "reduced" and not _warned(run)):
            continue
        rows.append(
            (f"{run.campaign}/{run.run}", run.design, run.sample, run.kind, state, findings_verdict(run.findings))
        )
        marks.append("fail" if state in {"not reduced", "set aside"} else "body")
    counts = {name: states.count(name) for name in ORDER}
    said = ", ".join(f"{count} {name}" for name, count in counts.items() if count) or "no run yet"
    heads = ("run", "design", "sample", "kind", "state", "findings")
    below = _below([run for run, state in zip(runs, states, strict=True) if state == "reduced" and not _warned(run)])
    return Table(f"{title}: {said}", heads, tuple(rows), frozenset(range(6)), below, None, tuple(marks))


def _warned(run: ReducedRun) -> bool:
    return any(finding.severity != "note" for finding in run.findings)


def _below(others: Sequence[ReducedRun]) -> tuple[str, ...]:
    """Count the runs that were reduced now and have no row."""
    noted = sum(bool(run.findings) for run in others)
    quiet = len(others) - noted
    parts = [f"{noted} with notes only (isothrust check shows them)"] if noted else []
    parts += [f"{quiet} in which nothing was found"] if quiet else []
    return (f"not listed: {', '.join(parts)}",) if parts else ()


def run_objects(runs: Sequence[ReducedRun], done: Done) -> list[dict[str, object]]:
    """Return one object a run for JSON."""
    return [
        {
            "campaign": run.campaign,
            "run": run.run,
            "design": run.design,
            "sample": run.sample,
            "kind": run.kind,
            "state": state,
            "findings": {name: sum(f.severity == name for f in run.findings) for name in ("fail", "warning", "note")},
            "method_version": run.method_version,
        }
        for run, state in zip(runs, _states(runs, done), strict=True)
    ]
