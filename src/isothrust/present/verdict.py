"""Five lines on one fresh recording, to be read at the bench before the next propeller goes on."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from isothrust.present.findings_table import ORDER, findings_verdict
from isothrust.present.rounding import with_digits
from isothrust.present.shown import in_shown_unit, shown_with_unit, unit_label
from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun, ZeroFit

__all__ = ["verdict_lines"]

NOT_REDUCED = "not-reduced"

VERDICTS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "fail": "do not keep it: record it again",
        "warning": "keep it, and look at it first",
        "note": "keep it",
        "": "keep it",
    }
)


def verdict_lines(name: str, run: ReducedRun, again: str) -> tuple[str, ...]:
    """Return the verdict: what to do, what was measured, the zeros, the gravest finding, where to read more.

    `again` is the command that shows everything that was found.
    """
    gravest = min(run.findings, key=lambda finding: ORDER.index(finding.severity), default=None)
    severity = "" if gravest is None else gravest.severity
    reduced = not any(finding.code == NOT_REDUCED for finding in run.findings)
    return (
        f"verdict:  {VERDICTS[severity]} ({name}: {findings_verdict(run.findings)})",
        f"measured: {_measured(run) if reduced else 'nothing, for it could not be reduced'}",
        f"zero:     {_zeros(run) if reduced else 'not known'}",
        f"gravest:  {_said(gravest)}",
        f"more:     {again}",
    )


def _said(finding: Finding | None) -> str:
    """Return a finding in one line; the message of a run that could not be reduced ends in a code of its own."""
    if finding is None:
        return "nothing"
    first = " ".join(finding.message.splitlines()[0].split())
    return first if finding.code == NOT_REDUCED else f"{first.rstrip('. ')} [{finding.code}]"


def _measured(run: ReducedRun) -> str:
    parts = []
    thrust = run.curves.get("thrust") or run.curves.get("torque")
    if thrust is not None and run.abscissa == "speed":
        parts.append(f"{with_digits(in_shown_unit('speed', thrust.low))} to {shown_with_unit('speed', thrust.high)}")
    for figure in run.figures:
        if figure.value is not None and figure.measurand.startswith("peak-"):
            words = figure.measurand.removeprefix("peak-").replace("-", " ")
            parts.append(f"{words} up to {shown_with_unit(figure.measurand, figure.value)}")
    if run.abscissa != "speed" and run.curves:
        parts.append("no speed")
    return ", ".join(parts) or "nothing that gives a curve"


def _zeros(run: ReducedRun) -> str:
    parts = [_zero(zero, run) for zero in run.zeros.values() if zero.channel in {"thrust", "torque"}]
    return ", ".join(parts) or "no spell with the rotor stopped"


def _zero(zero: ZeroFit, run: ReducedRun) -> str:
    if zero.before is None or zero.after is None:
        where = "before" if zero.after is None else "after"
        return f"{zero.channel} {where} the run only"
    moved = in_shown_unit(zero.channel, zero.after - zero.before)
    peak = next((figure.value for figure in run.figures if figure.measurand == f"peak-{zero.channel}"), None)
    share = f" ({100.0 * abs(zero.after - zero.before) / peak:.1g} % of the peak)" if peak else ""
    return f"{zero.channel} moved by {with_digits(moved, 2)} {unit_label(zero.channel)}{share}"
