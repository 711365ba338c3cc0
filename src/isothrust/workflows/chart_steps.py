"""The step overlay: how the designs of one class answer the same step, one over the other."""

from __future__ import annotations

from collections.abc import Iterable

from isothrust.errors import UsageError, Where
from isothrust.present.charts.captions import Subject, step_caption
from isothrust.present.charts.catalogue import Chart
from isothrust.present.charts.drawing import Drawing
from isothrust.present.charts.step_rows import step_datasets
from isothrust.records.book import Book
from isothrust.records.reduced import ReducedRun
from isothrust.records.response import StepKind
from isothrust.workflows.chart import Drawn
from isothrust.workflows.chart_choice import identities_of
from isothrust.workflows.chart_scope import choose_scope, scopes_of
from isothrust.workflows.results import campaign_runs
from isothrust.workflows.selection import Selection

__all__ = ["draw_steps"]


def draw_steps(
    book: Book, reduced: Iterable[ReducedRun], chart: Chart, selection: Selection, class_name: str | None = None
) -> Drawn:
    """Return the overlay of the steps of one class of one campaign.

    Raises
    ------
    UsageError
        Where the selection does not fit the book, or no run of the class has steps that could be timed.
    """
    runs = list(reduced)
    scopes = scopes_of(book, runs, across_classes=False)
    scope = choose_scope(book, scopes, selection, class_name)
    campaign = book.campaigns[scope.campaign]
    counting = campaign_runs(book, campaign, [run for run in runs if run.campaign == scope.campaign]).runs
    direction = "down" if chart.name.endswith("down") else "up"
    kinds: dict[str, list[StepKind]] = {}
    for run in counting:
        kind = _main(run, direction)
        if kind is not None and run.design in scope.designs:
            kinds.setdefault(run.design, []).append(kind)
    if not kinds:
        raise UsageError(
            f"no run of the class has steps {direction} that could be timed",
            code="nothing-to-draw",
            where=Where(f"campaign {scope.campaign}, {scope.class_name}"),
            expected="a run of kind steps of at least one design",
            fix=f"isothrust results --campaign {scope.campaign} --of rise-time  says why each is absent",
        )
    slots = identities_of(book, runs, scope, selection.designs)
    shown = {design: slot for design, slot in slots.items() if design in kinds}
    missing = [design for design in scope.designs if design not in kinds]
    subject = Subject(scope.campaign, scope.class_name, book.standard_density)
    caption = step_caption(subject, direction, kinds, missing)
    others = tuple(other for other in scopes if other != scope)
    return Drawn(Drawing(chart, caption, step_datasets(kinds, shown)), scope.campaign, scope.class_name, others)


def _main(run: ReducedRun, direction: str) -> StepKind | None:
    """Return the kind of step that the run's figures are taken from."""
    if run.response is None or run.response.followed != "speed" or run.added_inertia is not None:
        return None
    return next((kind for kind in run.response.kinds if kind.direction == direction and not kind.absent), None)
