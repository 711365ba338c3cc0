"""Why a design has no figure, in one line for all its runs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from isothrust.reduction.pooling_runs import SetAside, kinds_for

__all__ = ["joint_reason", "nothing_counts"]

MOST = 3
"""Different reasons that are told one by one."""


def joint_reason(reasons: Mapping[str, str]) -> str:
    """Return the runs' reasons as one; a reason that all share is told once."""
    runs_of: dict[str, list[str]] = {}
    for run, reason in reasons.items():
        runs_of.setdefault(reason, []).append(run)
    if len(runs_of) == 1:
        return next(iter(runs_of))
    told = [f"{', '.join(runs)}: {reason}" for reason, runs in list(runs_of.items())[:MOST]]
    left = len(runs_of) - MOST
    return "; ".join([*told, f"and {left} more"] if left > 0 else told)


def nothing_counts(
    campaign: str, measurand: str, aside: Sequence[SetAside], other_kinds: Iterable[str], missing: str | None
) -> str:
    """Return why no run of a design counts: set aside, of another kind, not reduced, or not there."""
    runs_of: dict[str, list[str]] = {}
    for one in aside:
        runs_of.setdefault(one.reason, []).append(one.run)
    reasons = [
        f"run {runs[0]} was set aside: {reason}" if len(runs) == 1 else f"{', '.join(runs)} were set aside: {reason}"
        for reason, runs in runs_of.items()
    ]
    if missing:
        reasons.append(missing)
    kinds = kinds_for(measurand)
    others = sorted(set(other_kinds))
    if others and kinds is not None:
        wanted = " or ".join(sorted(kinds, reverse=True))
        reasons.append(f"it needs a run of kind {wanted}, and there is only {' and '.join(others)}")
    return "; ".join(reasons) or f"no run in campaign {campaign}"
