"""Findings as a table, the gravest first within each run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from isothrust.present.rounding import with_digits
from isothrust.present.table import Table
from isothrust.records.finding import Finding

__all__ = ["findings_table", "findings_verdict"]

ORDER = ("fail", "warning", "note")


def findings_table(title: str, findings: Sequence[Finding]) -> Table:
    """Return one run's findings as a table."""
    ranked = sorted(findings, key=lambda finding: ORDER.index(finding.severity))
    rows = tuple(
        (finding.severity, finding.code, finding.channel or "", _when(finding), _said(finding)) for finding in ranked
    )
    heads = ("severity", "finding", "channel", "when [s]", "what")
    marks = tuple(finding.severity for finding in ranked)
    return Table(title, heads, rows, frozenset({0, 1, 2, 4}), (), 4, marks)


def _when(finding: Finding) -> str:
    if finding.start is None:
        return ""
    start = with_digits(finding.start, 3)
    return start if finding.end is None or finding.end == finding.start else f"{start}–{with_digits(finding.end, 3)}"


def _said(finding: Finding) -> str:
    message = finding.message.rstrip(". ")
    parts = [message]
    if finding.effect:
        parts.append(f"effect: {finding.effect.rstrip('. ')}")
    if finding.done and finding.done != "nothing":
        parts.append(f"done: {finding.done.rstrip('. ')}")
    return "; ".join(parts)


def findings_verdict(findings: Sequence[Finding]) -> str:
    """Return how many findings of each severity there are, in words."""
    counts: Mapping[str, int] = {name: sum(finding.severity == name for finding in findings) for name in ORDER}
    words = {"fail": ("fail", "fails"), "warning": ("warning", "warnings"), "note": ("note", "notes")}
    said = [f"{count} {words[name][count != 1]}" for name, count in counts.items() if count]
    return ", ".join(said) if said else "nothing found"
