"""Of whom a chart is: one campaign and one class, so that like is compared with like."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from isothrust.errors import UsageError, Where
from isothrust.records.book import Book, Design
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.comparing_class import class_name, class_of
from isothrust.tables.nearest import names_told, nearest_first
from isothrust.workflows.selection import Selection, campaigns_asked, designs_asked

__all__ = ["Scope", "choose_scope", "scopes_of"]

EVERY_CLASS = "all blade counts"


@dataclass(frozen=True, slots=True)
class Scope:
    """Designs of one class in one campaign."""

    campaign: str
    class_name: str
    designs: tuple[str, ...]
    latest: str
    """Date of the newest run, ISO 8601."""


def scopes_of(book: Book, reduced: Iterable[ReducedRun], *, across_classes: bool) -> list[Scope]:
    """Return every campaign and class that has reduced runs, in the order of the book; or whole campaigns."""
    ran: dict[str, dict[str, str]] = {name: {} for name in book.campaigns}
    for run in reduced:
        if run.campaign in ran and run.curves:
            dates = ran[run.campaign]
            dates[run.design] = max(dates.get(run.design, ""), run.date)
    return [scope for name in book.campaigns for scope in _scopes(book, name, ran[name], across_classes=across_classes)]


def _scopes(book: Book, campaign: str, dates: Mapping[str, str], *, across_classes: bool) -> list[Scope]:
    members: dict[object, list[Design]] = {}
    for name in dates:
        design = book.designs.get(name, Design(name))
        key = None if across_classes else class_of(design, book.class_edges)
        members.setdefault(key, []).append(design)
    return [
        Scope(
            campaign,
            EVERY_CLASS if across_classes else class_name(designs, book.class_edges),
            tuple(design.name for design in designs),
            max(dates[design.name] for design in designs),
        )
        for designs in members.values()
    ]


def choose_scope(book: Book, scopes: Sequence[Scope], selection: Selection, wanted_class: str | None) -> Scope:
    """Return the scope asked for; where more than one is left, the one with most designs of the newest campaign.

    Raises
    ------
    UsageError
        unknown-campaign, unknown-design, unknown-class, not-one-class, nothing-to-draw.
    """
    campaigns = campaigns_asked(book, selection)
    designs_asked(book, selection)
    left = [scope for scope in scopes if scope.campaign in campaigns]
    if not left:
        raise UsageError(
            f"no run of {'campaign ' + campaigns[0] if selection.campaigns else 'the book'} gives a curve to draw",
            code="nothing-to-draw",
            where=Where("campaigns/"),
            expected="at least one ramp or run of holds that could be reduced",
            fix="isothrust check  says what is wrong with the runs",
        )
    if wanted_class is not None:
        left = _of_class(left, wanted_class)
    if selection.designs:
        left = _with_all(left, selection.designs)
    newest = max(scope.latest for scope in left)
    campaign = next(scope.campaign for scope in reversed(left) if scope.latest == newest)
    return max((scope for scope in left if scope.campaign == campaign), key=lambda scope: len(scope.designs))


def _of_class(scopes: Sequence[Scope], wanted: str) -> list[Scope]:
    found = [scope for scope in scopes if _plain(scope.class_name) == _plain(wanted)]
    if found:
        return found
    names = list(dict.fromkeys(scope.class_name for scope in scopes))
    raise UsageError(
        f'there is no class "{wanted}" here',
        code="unknown-class",
        where=Where("--class"),
        expected="; ".join(nearest_first(wanted, names)),
        fix=f'write  --class "{nearest_first(wanted, names)[0]}",  if that is what was meant',
    )


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace(",", " ").split())


def _with_all(scopes: Sequence[Scope], designs: Sequence[str]) -> list[Scope]:
    """Return the scopes that hold all the designs, or say why none does."""
    found = [scope for scope in scopes if set(designs) <= set(scope.designs)]
    if found:
        return found
    homes = {
        design: [f"{scope.class_name} in {scope.campaign}" for scope in scopes if design in scope.designs]
        for design in designs
    }
    told = "; ".join(f"{design}: {', '.join(places) or 'no curve here'}" for design, places in homes.items())
    raise UsageError(
        f"no campaign has {names_told('', designs, otherwise='')} in one class: a chart compares like with like",
        code="not-one-class",
        where=Where("--design"),
        expected=f"designs of one class in one campaign ({told})",
        fix="draw one chart for each class; blade counts stand beside each other in  isothrust chart inflow-ratio",
    )
