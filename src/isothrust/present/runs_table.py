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
    """Return one row a run that was reduced now or has something to say; the others are counted."""
    states = [_state(run, reduced, failed) for run in runs]
    rows = []
    marks: list[Mark] = []
    for run, state in zip(runs, states, strict=True):
        if state == "up to date":
            continue
        rows.append(
            (f"{run.campaign}/{run.run}", run.design, run.sample, run.kind, state, findings_verdict(run.findings))
        )
        marks.append("fail" if state in {"not reduced", "set aside"} else "body")
    counts = {name: states.count(name) for name in ("reduced", "up to date", "set aside", "not reduced")}
    said = ", ".join(f"{count} {name}" for name, count in counts.items() if count) or "no run yet"
    heads = ("run", "design", "sample", "kind", "state", "findings")
    return Table(f"{title}: {said}", heads, tuple(rows), frozenset(range(6)), (), None, tuple(marks))


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
