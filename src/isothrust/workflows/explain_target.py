"""Which design or run is to be explained, found by its name."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from isothrust.errors import UsageError, Where
from isothrust.records.book import Book, Run
from isothrust.tables.nearest import names_told, nearest_first
from isothrust.workflows.selection import Selection, campaigns_asked

__all__ = ["Target", "TargetKind", "find_target"]

TargetKind = Literal["design", "run"]


@dataclass(frozen=True, slots=True)
class Target:
    """A design in some campaigns, or one run."""

    kind: TargetKind
    name: str
    """Of the design, or of the run without its campaign."""
    design: str
    campaigns: tuple[str, ...]
    """Those that have runs of it; of a run, its own."""


def find_target(book: Book, name: str, campaigns: Iterable[str] = (), kind: TargetKind | None = None) -> Target:
    """Return what a name means: a design, a run, or a run as campaign/run.

    Parameters
    ----------
    book
        Where to look.
    name
        As it was typed.
    campaigns
        Only these; none named: all.
    kind
        Which of the two, where a name is both.

    Raises
    ------
    UsageError
        unknown-campaign, unknown-name with the nearest names, or ambiguous-name with how to choose.
    """
    within = campaigns_asked(book, Selection(campaigns=tuple(campaigns)))
    listed = [run for campaign in within for run in book.campaigns[campaign].runs]
    full = [run for run in listed if f"{run.campaign}/{run.name}" == name]
    runs = full or [run for run in listed if run.name == name]
    is_run, is_design = bool(runs) and kind != "design", name in book.designs and kind != "run"
    if is_run and is_design and not full:
        raise _both(name, runs)
    if len(runs) > 1 and is_run:
        raise _several(name, runs)
    if is_run:
        return Target("run", runs[0].name, runs[0].design, (runs[0].campaign,))
    if is_design:
        return Target("design", name, name, _campaigns_with(listed, name) or within)
    raise _unknown(name, listed, book, kind)


def _campaigns_with(runs: list[Run], design: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(run.campaign for run in runs if run.design == design))


def _both(name: str, runs: list[Run]) -> UsageError:
    full = f"{runs[0].campaign}/{runs[0].name}"
    return UsageError(
        f'"{name}" is the name of a design and of a run',
        code="ambiguous-name",
        where=Where(f"explain {name}"),
        expected=f"the design, or the run {full}",
        fix=f"isothrust explain {name} --as design,  or  isothrust explain {full}",
    )


def _several(name: str, runs: list[Run]) -> UsageError:
    full = [f"{run.campaign}/{run.name}" for run in runs]
    return UsageError(
        f'{len(runs)} campaigns have a run "{name}"',
        code="ambiguous-name",
        where=Where(f"explain {name}"),
        expected=", ".join(full),
        fix=f"isothrust explain {full[0]},  or add  --campaign {runs[0].campaign}",
    )


def _unknown(name: str, listed: list[Run], book: Book, kind: TargetKind | None) -> UsageError:
    # a name with a stroke is meant as campaign/run: the nearest is then looked for among names of that form
    runs = [f"{run.campaign}/{run.name}" if "/" in name else run.name for run in listed]
    designs = [] if "/" in name or kind == "run" else list(book.designs)
    known = list(dict.fromkeys([*designs, *(runs if kind != "design" else [])]))
    near = nearest_first(name, known)
    what = {"design": "no design", "run": "no run"}.get(kind or "", "no run and no design")
    return UsageError(
        f'there is {what} "{name}"',
        code="unknown-name",
        where=Where(f"explain {name}"),
        expected=names_told(name, known, otherwise="the book has none yet: isothrust add brings some in"),
        fix=f"isothrust explain {near[0]},  if that is what was meant" if near else "fill the book first",
    )
