"""The findings of a run as `check` shows them: what, where, the number that proves it, its effect, what was done.

On a wide screen each has a column of its own; on a narrow one effect and deed stand below what was seen.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from isothrust.present.findings_table import ORDER, findings_table, findings_verdict, when_words
from isothrust.present.table import GAP, Table, broken_cell
from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun
from isothrust.records.standing import Standing

__all__ = ["checked_summary", "checked_table"]

WIDE: Final = 112
"""Columns from which effect and deed have room beside what was seen."""
SHARES: Final = (0.44, 0.31, 0.25)
"""Of the room that is left: what was seen, its effect, what was done."""
LEAST: Final = 24
"""Columns below which text is no longer squeezed."""
NOTHING: Final = "nothing"
HEADS: Final[tuple[str, ...]] = ("finding", "where", "seen", "effect on figures", "done")


def checked_table(run: ReducedRun, standing: Standing, width: int) -> Table:
    """Return the findings of one run, the gravest first, to be shown in so many columns."""
    title = _title(run, standing)
    if any(finding.code == "not-reduced" for finding in run.findings):
        # A whole error with its paths: it takes the full width.
        return findings_table(title, run.findings)
    ranked = sorted(run.findings, key=lambda finding: ORDER.index(finding.severity))
    marks = tuple(finding.severity for finding in ranked)
    if not ranked:
        return Table(title, (), ())
    first = [_first(finding) for finding in ranked]
    if width >= WIDE:
        room = width - _longest(first) - 3 * GAP
        rows: list[tuple[str, ...]] = [
            (*pair, *_beside(finding, room)) for pair, finding in zip(first, ranked, strict=True)
        ]
        return Table(title, HEADS, _spaced(rows), frozenset(range(5)), marks=marks)
    room = width - _longest(first) - GAP
    below = [broken_cell(_below(finding), max(room, LEAST)) for finding in ranked]
    rows = [(*pair, text) for pair, text in zip(first, below, strict=True)]
    return Table(title, HEADS[:3], _spaced(rows), frozenset(range(3)), marks=marks)


def checked_summary(runs: Sequence[tuple[ReducedRun, Standing]]) -> str:
    """Return in one line how many runs are fine, and what is with the others."""
    states = [_state(run, standing) for run, standing in runs]
    counts = {name: states.count(name) for name in dict.fromkeys((*STATES, *states))}
    said = ", ".join(f"{count} {name}" for name, count in counts.items() if count)
    findings = [finding for run, _ in runs for finding in run.findings]
    found = f" ({findings_verdict(findings)})" if findings else ""
    return f"{len(runs)} run{'' if len(runs) == 1 else 's'} checked: {said}{found}"


STATES: Final = ("fine", "with warnings", "accepted", "left out", "set aside", "not reduced")


def _state(run: ReducedRun, standing: Standing) -> str:
    if standing.left_out:
        return "left out"
    if standing.gives_nothing:
        return "not reduced"
    if standing.fails:
        return "accepted" if standing.accepted else "set aside"
    return "with warnings" if any(finding.severity == "warning" for finding in run.findings) else "fine"


def _title(run: ReducedRun, standing: Standing) -> str:
    what = " ".join(part for part in (run.design, run.sample, run.kind) if part)
    state = _state(run, standing)
    shown = "" if state in {"fine", "with warnings", "not reduced"} else f"; {state}"
    lines = [f"{run.campaign}/{run.run}  {what}: {findings_verdict(run.findings)}{shown}"]
    decision = standing.decision
    if standing.since and decision is not None:
        new = ", ".join(dict.fromkeys(finding.code for finding in standing.since))
        lines.append(
            f"{decision.who} accepted it on {decision.when[:10]} for {', '.join(decision.codes or ())} only "
            f"({decision.because}); {new} was found since, and nobody has accepted that"
        )
    elif decision is not None and (standing.accepted or standing.left_out):
        lines.append(f"by {decision.who} on {decision.when[:10]}: {decision.because}")
    return "\n".join(lines)


def _first(finding: Finding) -> tuple[str, str]:
    where = [part for part in (finding.channel or "", when_words(finding)) if part]
    return f"{finding.severity}\n{finding.code}", "\n".join(where)


def _longest(first: Sequence[tuple[str, str]]) -> int:
    """Return the width that the two narrow columns take together."""
    columns = list(zip(*first, strict=True))
    heads = HEADS[: len(columns)]
    widths = [
        max(len(head), *(len(line) for cell in column for line in cell.split("\n")))
        for head, column in zip(heads, columns, strict=True)
    ]
    return sum(widths) + GAP


def _beside(finding: Finding, room: int) -> tuple[str, str, str]:
    cells = (finding.message, finding.effect or "", finding.done)
    seen, effect, done = (broken_cell(cell, int(share * room)) for cell, share in zip(cells, SHARES, strict=True))
    return seen, effect, done


def _below(finding: Finding) -> str:
    lines = [finding.message]
    if finding.effect:
        lines.append(f"effect: {finding.effect}")
    if finding.done and (finding.done != NOTHING or finding.severity != "note"):
        lines.append(f"done: {finding.done}")
    return "\n".join(lines)


def _spaced(rows: Sequence[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    """Return the rows with an empty line below each but the last: their cells have several lines."""
    spaced: list[tuple[str, ...]] = []
    for number, row in enumerate(rows, start=1):
        height = max(cell.count("\n") for cell in row)
        last = row[-1] if number == len(rows) else row[-1] + "\n" * (height - row[-1].count("\n") + 1)
        spaced.append((*row[:-1], last))
    return tuple(spaced)
