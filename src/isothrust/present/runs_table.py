"""What `reduce` did, run by run."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from isothrust.present.findings_table import findings_verdict
from isothrust.present.table import Mark, Table
from isothrust.records.reduced import ReducedRun

__all__ = ["run_objects", "runs_table"]

Names = Collection[tuple[str, str]]


def _state(run: ReducedRun, reduced: Names, failed: Names) -> str:
    name = (run.campaign, run.run)
    if name in failed:
        return "not reduced"
    if any(finding.severity == "fail" for finding in run.findings):
        return "set aside"
    return "reduced" if name in reduced else "up to date"


def runs_table(title: str, runs: Sequence[ReducedRun], reduced: Names, failed: Names) -> Table:
    """Return a row for each run that was not reduced, is set aside or has a warning; the rest is counted."""
    states = [_state(run, reduced, failed) for run in runs]
    rows = []
    marks: list[Mark] = []
    for run, state in zip(runs, states, strict=True):
        if state == "up to date" or (state == "reduced" and not _warned(run)):
            continue
        rows.append(
            (f"{run.campaign}/{run.run}", run.design, run.sample, run.kind, state, findings_verdict(run.findings))
        )
        marks.append("fail" if state in {"not reduced", "set aside"} else "body")
    counts = {name: states.count(name) for name in ("reduced", "up to date", "set aside", "not reduced")}
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


def run_objects(runs: Sequence[ReducedRun], reduced: Names, failed: Names) -> list[dict[str, object]]:
    """Return one object a run for JSON."""
    return [
        {
            "campaign": run.campaign,
            "run": run.run,
            "design": run.design,
            "sample": run.sample,
            "kind": run.kind,
            "state": _state(run, reduced, failed),
            "findings": {name: sum(f.severity == name for f in run.findings) for name in ("fail", "warning", "note")},
            "method_version": run.method_version,
        }
        for run in runs
    ]
