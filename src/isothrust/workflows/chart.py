"""One chart: of which campaign and class, which designs are told apart, through which points."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from isothrust.errors import UsageError, Where
from isothrust.present.charts.captions import Subject, curve_caption, ranking_caption, recording_caption
from isothrust.present.charts.catalogue import CHARTS, Chart, axis_title
from isothrust.present.charts.curve_rows import curve_datasets, is_cut
from isothrust.present.charts.drawing import Drawing
from isothrust.present.charts.palette import IDENTITIES
from isothrust.present.charts.ranking_rows import ranking_datasets
from isothrust.present.charts.recording_data import recording_datasets
from isothrust.records.book import Book
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Result
from isothrust.reduction.pooling import Question
from isothrust.tables.nearest import names_told
from isothrust.workflows.chart_choice import answers_of, comparison_point, identities_of, one_condition
from isothrust.workflows.chart_points import drawn_conditions
from isothrust.workflows.chart_scope import Scope, choose_scope, scopes_of
from isothrust.workflows.compare import compare_designs
from isothrust.workflows.pictures import picture_job, picture_jobs
from isothrust.workflows.results import campaign_runs
from isothrust.workflows.runs import selected
from isothrust.workflows.selection import Selection, campaigns_asked, questions_for

__all__ = ["Drawn", "draw_curves", "draw_ranking", "draw_recording"]

USUAL: Final = ("shaft-power", "electrical-power", "peak-thrust")
"""What is ranked where no measurand is named: the first that any design has."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A chart and of whom it is."""

    drawing: Drawing
    campaign: str
    class_name: str
    """Empty for a recording."""
    others: tuple[Scope, ...] = ()
    """What the same command could have drawn as well, had it been asked to."""


def draw_curves(
    book: Book, reduced: Iterable[ReducedRun], chart: Chart, selection: Selection, class_name: str | None = None
) -> Drawn:
    """Return a curve chart of one class of one campaign.

    Raises
    ------
    UsageError
        Where the selection does not fit the book or the chart, or nothing can be drawn.
    """
    assert chart.measurand is not None
    assert chart.abscissa is not None
    runs = list(reduced)
    point = comparison_point(book, chart, selection)
    scopes = scopes_of(book, runs, across_classes=chart.by_blades)
    scope = choose_scope(book, scopes, selection, class_name)
    groups = _by_blades(book, scope.designs) if chart.by_blades else {}
    slots = identities_of(book, runs, scope, selection.designs, groups)
    # Without a range the comparison point still asks, so that the reason for the absence is told.
    conditions = _conditions(book, runs, scope, chart) or (() if point is None else (point.value,))
    results = answers_of(book, runs, scope, Question(chart.measurand, chart.abscissa, conditions, ()))
    if not any(result.value is not None for result in results):
        raise _nothing(chart.measurand, scope, results)
    labels = {design: f"{design}, {_blades(book, design)}" for design in slots} if chart.by_blades else {}
    datasets = curve_datasets(
        chart,
        results,
        {design: groups.get(design, slot) for design, slot in slots.items()},
        point=None if point is None else point.value,
        groups=groups,
        labels=labels,
    )
    subject = Subject(scope.campaign, scope.class_name, book.standard_density)
    cut = is_cut(datasets["chosen"])
    caption = curve_caption(chart, subject, results, shown=list(slots), point=point, cut=cut)
    return Drawn(Drawing(chart, caption, datasets), scope.campaign, scope.class_name, _others(scopes, scope))


def draw_ranking(
    book: Book, reduced: Iterable[ReducedRun], selection: Selection, class_name: str | None = None
) -> Drawn:
    """Return the ranking of one class of one campaign at one condition; `selection` may name the measurand.

    Raises
    ------
    UsageError
        Where the selection does not fit the book, or there is nothing to rank.
    """
    runs = list(reduced)
    questions_for(book, selection)
    scopes = scopes_of(book, runs, across_classes=False)
    scope = choose_scope(book, scopes, selection, class_name)
    slots = identities_of(book, runs, scope, selection.designs)
    within = replace(selection, designs=scope.designs, campaigns=(scope.campaign,))
    for measurand in selection.measurands[:1] or USUAL:
        (comparison,) = compare_designs(book, runs, one_condition(book, within, measurand)).comparisons
        if comparison.ranks:
            break
    else:
        raise _nothing(comparison.measurand, scope, comparison.absent)
    subject = Subject(scope.campaign, scope.class_name, book.standard_density)
    caption = ranking_caption(comparison, subject)
    datasets = ranking_datasets(comparison, slots)
    drawing = Drawing(CHARTS["ranking"], caption, datasets, axis_title(comparison.measurand))
    return Drawn(drawing, scope.campaign, scope.class_name, _others(scopes, scope))


def draw_recording(book: Book, reduced: Iterable[ReducedRun], run: str, selection: Selection) -> Drawn:
    """Return the picture of one run's recording, named `run` or `campaign/run`; `selection` may name the campaign.

    Raises
    ------
    UsageError
        Where there is no such run, or more than one, or its recording cannot be read.
    """
    campaigns = campaigns_asked(book, selection)
    names = {name for name in selected(book, [run]) or () if name[0] in campaigns or "/" in run}
    if not names:
        raise UsageError(
            f"campaign {campaigns[0]} has no run {run}",
            code="unknown-run",
            where=Where(f"--run {run}"),
            expected=names_told(run, [listed.name for listed in book.campaigns[campaigns[0]].runs], otherwise="none"),
            fix="name one of its runs, or leave --campaign out",
        )
    if len(names) > 1:
        raise UsageError(
            f"{len(names)} campaigns have a run {run}",
            code="ambiguous-name",
            where=Where(f"--run {run}"),
            expected=", ".join(sorted("/".join(name) for name in names)),
            fix="name it as campaign/run",
        )
    (name,) = names
    jobs = picture_jobs(book, [one for one in reduced if (one.campaign, one.run) == name])
    picture = picture_job(jobs[name])
    if picture.absent is not None or not picture.traces:
        raise UsageError(
            f"the recording of run {run} cannot be drawn: {picture.absent or 'no channel has two readings'}",
            code="nothing-to-draw",
            where=Where(f"--run {run}"),
            expected="a recording that can be read",
            fix=f"isothrust check {'/'.join(name)}  says what is wrong with it",
        )
    drawing = Drawing(CHARTS["recording"], recording_caption(picture), recording_datasets(picture))
    return Drawn(drawing, picture.campaign, "")


def _conditions(book: Book, runs: Iterable[ReducedRun], scope: Scope, chart: Chart) -> tuple[float, ...]:
    assert chart.abscissa is not None
    campaign = book.campaigns[scope.campaign]
    counting = campaign_runs(book, campaign, [run for run in runs if run.campaign == scope.campaign]).runs
    return drawn_conditions((run for run in counting if run.design in scope.designs), chart.abscissa)


def _by_blades(book: Book, designs: Iterable[str]) -> dict[str, int]:
    """Return each design's slot by its blade count, fewest first; those of unknown count share the last."""
    counts = {design: _count(book, design) for design in designs}
    order = sorted(set(counts.values()), key=lambda count: (count is None, count or 0))
    return {design: min(order.index(count), len(IDENTITIES) - 1) for design, count in counts.items()}


def _count(book: Book, design: str) -> int | None:
    return book.designs[design].blades if design in book.designs else None


def _blades(book: Book, design: str) -> str:
    count = _count(book, design)
    return "blades not stated" if count is None else f"{count} blade{'' if count == 1 else 's'}"


def _others(scopes: Iterable[Scope], taken: Scope) -> tuple[Scope, ...]:
    return tuple(scope for scope in scopes if scope != taken)


def _nothing(measurand: str, scope: Scope, results: Iterable[Result]) -> UsageError:
    reason = next((f"{result.design}: {result.absent}" for result in results if result.absent), "no run counts for it")
    return UsageError(
        f"no design has the figure {measurand} here ({reason})",
        code="nothing-to-draw",
        where=Where(f"campaign {scope.campaign}, {scope.class_name}"),
        expected="a figure of at least one design",
        fix=f"isothrust results --campaign {scope.campaign} --of {measurand}  says why each is absent",
    )
