"""Rows of runs.csv for recordings of an unknown folder: what names, heads and the throttle tell, the rest empty."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from isothrust.ingest.mapping import Look, propose_kind
from isothrust.records.mapping import LayoutMapping
from isothrust.workflows.dayair import with_air_of_the_day
from isothrust.workflows.filenames import clean_name, free_name, parts_of, run_name
from isothrust.workflows.logheads import air_in, date_in_lines, date_in_name
from isothrust.workflows.namepattern import NamePattern
from isothrust.workflows.survey import LayoutFound

__all__ = ["NewRuns", "new_runs"]


@dataclass(frozen=True, slots=True)
class NewRuns:
    """The rows of one campaign."""

    rows: tuple[dict[str, str], ...]
    unmatched: tuple[str, ...]
    """Recordings whose names do not match the pattern."""
    proposed: Mapping[str, str]
    """Run -> why its kind was proposed from the throttle."""
    air_carried: tuple[str, ...]
    """Runs with the air of the previous run of their day."""


def new_runs(layout: LayoutFound, pattern: NamePattern | None, taken: set[str]) -> NewRuns:
    """Return a row for each log; `taken` holds the names of runs that are used, in small letters, and is added to."""
    rows: list[dict[str, str]] = []
    unmatched: list[str] = []
    proposed: dict[str, str] = {}
    for look in layout.looks:
        row, matched, reason = _row(look, layout, pattern)
        row["run"] = free_name(clean_name(run_name(look.name)), taken)
        taken.add(row["run"].casefold())
        if not matched:
            unmatched.append(look.name)
        if reason:
            proposed[row["run"]] = reason
        rows.append(row)
    rows.sort(key=lambda row: (row["date"], row["run"]))
    filled, carried = with_air_of_the_day(rows)
    return NewRuns(tuple(filled), tuple(unmatched), proposed, carried)


def _row(look: Look, layout: LayoutFound, pattern: NamePattern | None) -> tuple[dict[str, str], bool, str]:
    """Return a row, whether the name matched the pattern, and why its kind was proposed."""
    named = pattern.read(look.name) if pattern is not None else {}
    told = parts_of(look.name, (), ())
    lines = [text for _, text in look.table.layout.preamble]
    date = told.date or date_in_name(look.name) or date_in_lines([look.first_stamp]) or date_in_lines(lines)
    row = {"design": "", "sample": "", "kind": told.kind or "", "date": date, "note": "", "log": look.name}
    row |= air_in(lines)
    row |= named or {}
    row |= layout.beside.get(run_name(look.name), {})
    reason = ""
    if not row["kind"]:
        proposal = _proposal(look, layout.mapping)
        if proposal is not None:
            row["kind"], reason = proposal
            row["note"] = "; ".join(part for part in (row["note"], f"kind proposed: {reason}") if part)
    return row, named is not None, reason


def _proposal(look: Look, mapping: LayoutMapping) -> tuple[str, str] | None:
    columns: Sequence[int] = [column.position - 1 for column in mapping.channels("throttle")]
    if not columns or columns[0] >= len(look.columns):
        return None
    proposal = propose_kind(look.columns[columns[0]])
    return None if proposal is None else (proposal.kind, proposal.reason)
