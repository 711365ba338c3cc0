"""The same recording under two runs, or the same file under two names."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Final

from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence, Twin

__all__ = ["check_twice"]

_SAME: Final = 1e-6
"""In proportion: other line ends or another head leave a number the same, another run moves noise by per cents."""
_FEWEST: Final = 5
"""Numbers that must agree: levels, scatters, residuals and ends of two recordings."""


def check_twice(evidence: CampaignEvidence) -> list[Finding]:
    """Return a finding for each recording that is an earlier one once more, by its bytes or by all that it gave."""
    out: list[Finding] = []
    marks = [_marks(run) for run in evidence.runs]
    for place, run in enumerate(evidence.runs):
        names = [found for found in (_by_bytes(evidence, run, kind) for kind in _kinds(evidence, run)) if found]
        if not any(finding.severity == "fail" for finding in names):
            names += _by_numbers(run, marks[place], zip(evidence.runs[:place], marks, strict=False))
        out += names
    return out


def _kinds(evidence: CampaignEvidence, run: ReducedRun) -> list[str]:
    return list(evidence.hashes.get(run.run, {}))


def _by_bytes(evidence: CampaignEvidence, run: ReducedRun, kind: str) -> Finding | None:
    """Return a finding where a file of the run stands earlier in the book; one file may well serve several kinds."""
    file = evidence.files.get(run.run, {}).get(kind, "")
    earlier: list[Twin] = []
    for twin in evidence.twins.get(evidence.hashes[run.run][kind], ()):
        if (twin.campaign, twin.run, twin.kind) == (evidence.campaign, run.run, kind):
            break
        earlier.append(twin)
    logs = [twin for twin in earlier if kind == twin.kind == "log" and _other_run(evidence, run, twin)]
    if logs:
        return _finding(run, "log", f"{_said(evidence, logs[0])}, byte for byte", file)
    renamed = [twin for twin in earlier if twin.file != file]
    return _renamed(run, kind, file, _said(evidence, renamed[0])) if renamed else None


def _other_run(evidence: CampaignEvidence, run: ReducedRun, twin: Twin) -> bool:
    return (twin.campaign, twin.run) != (evidence.campaign, run.run)


def _said(evidence: CampaignEvidence, twin: Twin) -> str:
    where = "" if twin.campaign == evidence.campaign else f"{twin.campaign}/"
    return f"the {twin.kind} of run {where}{twin.run} ({twin.file})"


def _by_numbers(
    run: ReducedRun, own: Mapping[str, float], earlier: Iterable[tuple[ReducedRun, Mapping[str, float]]]
) -> list[Finding]:
    """Return a finding where an earlier run gave the very same levels, scatters and residuals."""
    for other, theirs in earlier:
        both = [name for name in own if name in theirs]
        if len(both) >= _FEWEST and all(math.isclose(own[n], theirs[n], rel_tol=_SAME) for n in both):
            what = f"the log of run {other.run} in another file: {len(both)} of its numbers are the same to six digits"
            return [_finding(run, "log", what, "")]
    return []


def _marks(run: ReducedRun) -> dict[str, float]:
    """Return what noise gave to this recording alone, whatever propeller and air its row names."""
    marks: dict[str, float] = {}
    for name, zero in run.zeros.items():
        levels = {"before": zero.before, "after": zero.after, "scatter": zero.scatter}
        marks |= {f"{name} {what}": level for what, level in levels.items() if level}
    thrust = run.curves.get("thrust")
    if thrust is not None:
        marks |= {"residual": thrust.residual_sd, "low": thrust.low, "high": thrust.high}
    return marks


def _finding(run: ReducedRun, channel: str, what: str, file: str) -> Finding:
    named = f" ({file})" if file else ""
    return Finding(
        code="recording-twice",
        severity="fail",
        message=f"the recording of run {run.run}{named} is {what}",
        run=run.run,
        channel=channel,
        effect="one measurement would count twice: the mean leans on it and the scatter looks smaller than it is",
        done="the run was set aside",
    )


def _renamed(run: ReducedRun, kind: str, file: str, first: str) -> Finding:
    return Finding(
        code="recording-twice",
        severity="warning",
        message=f"the {kind} of run {run.run} ({file}) is {first} under another name, byte for byte",
        run=run.run,
        channel=kind,
        effect=f"what rests on the {kind} may be another run's",
    )
