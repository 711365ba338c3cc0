"""Findings as a table, the gravest first within each run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from isothrust.present.rounding import with_digits
from isothrust.present.table import Table
from isothrust.records.finding import Finding

__all__ = ["ORDER", "findings_table", "findings_verdict", "gathered_notes", "when_words"]

ORDER = ("fail", "warning", "note")
"""Severities, the gravest first."""


def findings_table(title: str, findings: Sequence[Finding]) -> Table:
    """Return one run's findings as a table of two columns: how grave, and what."""
    ranked = sorted(findings, key=lambda finding: ORDER.index(finding.severity))
    rows = tuple((finding.severity, _said(finding)) for finding in ranked)
    marks = tuple(finding.severity for finding in ranked)
    return Table(title, (), rows, frozenset({0, 1}), (), 1, marks)


def gathered_notes(title: str, notes: Sequence[tuple[str, Finding]]) -> Table:
    """Return notes of many runs, each code once: how many runs carry it, which, and what the first one says."""
    by_code: dict[str, dict[str, Finding]] = {}
    for run, finding in notes:
        by_code.setdefault(finding.code, {}).setdefault(run, finding)
    rows = tuple(("note", _gathered(code, runs)) for code, runs in by_code.items())
    return Table(title, (), rows, frozenset({0, 1}), (), 1, tuple("note" for _ in rows))


def _gathered(code: str, runs: Mapping[str, Finding]) -> str:
    names = list(runs)
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    head, *said = _said(runs[names[0]]).split("\n")
    if len(names) == 1:
        return "\n".join([f"{head} of {names[0]}", *said])
    return "\n".join([f"{code} of {len(names)} runs: {', '.join(names[:_NAMED])}{more}; the first says:", *said])


_NAMED = 4
"""Runs named before the others are counted."""


def _said(finding: Finding) -> str:
    """Return a finding as a paragraph: code and place, message, effect, what was done."""
    where = ", ".join(filter(None, (finding.channel, when_words(finding))))
    lines = [f"{finding.code} ({where})" if where else finding.code, *finding.message.splitlines()]
    if finding.effect:
        lines.append(f"effect: {finding.effect}")
    if finding.done and finding.done != "nothing":
        lines.append(f"done: {finding.done}")
    return "\n".join(lines)


def when_words(finding: Finding) -> str:
    """Return the time of a finding; empty where it has none of its own."""
    if finding.start is None:
        return ""
    start = with_digits(finding.start, 3)
    end = start if finding.end is None else with_digits(finding.end, 3)
    return f"at {start} s" if end == start else f"{start} to {end} s"


def findings_verdict(findings: Sequence[Finding]) -> str:
    """Return how many findings of each severity there are, in words."""
    counts: Mapping[str, int] = {name: sum(finding.severity == name for finding in findings) for name in ORDER}
    words = {"fail": ("fail", "fails"), "warning": ("warning", "warnings"), "note": ("note", "notes")}
    said = [f"{count} {words[name][count != 1]}" for name, count in counts.items() if count]
    return ", ".join(said) if said else "nothing found"
