"""The report: what compare says on a fine grid of thrusts and speeds, and pictures of what was found, in one page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass
from itertools import count
from typing import Final

from isothrust import __version__
from isothrust.present.report.content import Asked, Quantity, ReportContent, ScopeContent
from isothrust.present.report.engine import chart_engine
from isothrust.present.report.page import report_html
from isothrust.quantities import OF_STEPS
from isothrust.records.book import Book
from isothrust.records.picture import RunPicture
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Comparison
from isothrust.workflows.chart_points import drawn_conditions
from isothrust.workflows.compare import compare_designs
from isothrust.workflows.pictures import picture_jobs, take_pictures
from isothrust.workflows.results import campaign_runs
from isothrust.workflows.runs import RunName
from isothrust.workflows.selection import Selection, campaigns_asked

__all__ = ["Report", "write_report"]

ASKED: Final[tuple[Asked, ...]] = (
    ("shaft-power", "thrust"),
    ("shaft-efficiency", "thrust"),
    ("electrical-power", "thrust"),
    ("electrical-efficiency", "thrust"),
    ("speed", "thrust"),
    ("current", "thrust"),
    ("thrust", "speed"),
    ("thrust-coefficient", "speed"),
    ("power-coefficient", "speed"),
    ("figure-of-merit", "speed"),
    ("inflow-ratio", "speed"),
    ("peak-thrust", None),
    ("peak-electrical-power", None),
    ("peak-current", None),
    ("rotor-inertia", None),
    ("spin-up-rate", None),
    ("spin-down-rate", None),
    ("rise-time", None),
    ("thrust-rise-rate", None),
)
"""What the page shows, in this order."""
QUANTITIES: Final[tuple[Quantity | None, ...]] = ("thrust", "speed", None)
MOST_PICTURES: Final = 80
"""Runs that get a picture, the gravest first; the others are told by name."""

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True, slots=True)
class Report:
    """The page, and what it is made of."""

    html: str
    content: ReportContent


def write_report(
    book: Book,
    reduced: Iterable[ReducedRun],
    *,
    campaigns: Sequence[str] = (),
    title: str | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
) -> Report:
    """Return the report of some campaigns of a book, all of them where none is named.

    Parameters
    ----------
    book, reduced
        The book and its reduced runs.
    campaigns
        Names of campaigns.
    title
        Of the page; None: the book's.
    executor
        Where pictures are drawn, made by the caller; None: here.
    progress
        Called with how many steps are done, how many there are, and what comes next.

    Raises
    ------
    UsageError
        Where a campaign is not in the book.
    """
    with ThreadPoolExecutor(max_workers=1) as meanwhile:
        engine = meanwhile.submit(chart_engine)
        content = _content(book, list(reduced), campaigns, title, executor, progress or _tell_nobody)
        return Report(report_html(content, engine.result()), content)


def _content(
    book: Book,
    reduced: Sequence[ReducedRun],
    campaigns: Sequence[str],
    title: str | None,
    executor: Executor | None,
    tell: Progress,
) -> ReportContent:
    names = campaigns_asked(book, Selection(campaigns=tuple(campaigns)))
    runs = tuple(run for run in reduced if run.campaign in names)
    steps = len(names) * len(QUANTITIES) + 1
    aside: dict[RunName, str] = {}
    scopes: list[ScopeContent] = []
    done = count()
    for name in names:
        own = [run for run in runs if run.campaign == name]
        counting = campaign_runs(book, book.campaigns[name], own)
        aside.update({(one.campaign, one.run): one.reason for one in counting.set_aside})

        def told(what: str, of: str = name) -> None:
            tell(next(done), steps, f"{of}: {what}")

        scopes += _scopes(book, own, name, _grids(book, counting.runs), told)
    tell(steps - 1, steps, "pictures of recordings")
    return ReportContent(
        title=title or book.title,
        book=book,
        campaigns=names,
        scopes=tuple(scopes),
        runs=runs,
        set_aside=aside,
        pictures=_pictures(book, runs, executor),
        version=__version__,
    )


def _grids(book: Book, runs: Sequence[ReducedRun]) -> dict[Quantity, tuple[float, ...]]:
    return {"thrust": _grid(book, runs, "thrust"), "speed": _grid(book, runs, "speed")}


def _grid(book: Book, runs: Iterable[ReducedRun], quantity: Quantity) -> tuple[float, ...]:
    """Return round conditions over what was measured, the book's comparison points among them."""
    drawn = drawn_conditions(runs, quantity)
    if not drawn:
        return ()
    own = [point for point in _points(book, quantity) if drawn[0] <= point <= drawn[-1]]
    others = [value for value in drawn if all(abs(value - point) > NEAR * point for point in own)]
    return tuple(sorted([*own, *others]))


NEAR: Final = 1e-6
"""Relative distance at which two conditions are one, written in two ways."""


def _points(book: Book, quantity: Quantity) -> tuple[float, ...]:
    return book.comparison_thrusts if quantity == "thrust" else book.comparison_speeds


def _scopes(
    book: Book,
    runs: Sequence[ReducedRun],
    campaign: str,
    grids: Mapping[Quantity, tuple[float, ...]],
    tell: Callable[[str], None],
) -> Iterator[ScopeContent]:
    """Yield the classes of a campaign, each with its comparisons."""
    found: dict[str, dict[Asked, tuple[Comparison, ...]]] = {}
    for quantity in QUANTITIES:
        tell(f"at equal {quantity}" if quantity else "of whole runs")
        for comparison in _compared(book, runs, campaign, quantity, grids):
            one = found.setdefault(comparison.class_name, {})
            asked = (comparison.measurand, quantity)
            one[asked] = (*one.get(asked, ()), comparison)
    for class_name, comparisons in found.items():
        if any(comparison.ranks for column in comparisons.values() for comparison in column):
            yield ScopeContent(
                campaign=campaign,
                class_name=class_name,
                designs=_members(book, comparisons),
                grids=grids,
                start={quantity: _start(book, quantity, grid) for quantity, grid in grids.items()},
                points={quantity: _marks(book, quantity, grid) for quantity, grid in grids.items()},
                comparisons={asked: comparisons[asked] for asked in ASKED if _worth(asked, comparisons)},
            )


def _worth(asked: Asked, comparisons: Mapping[Asked, Sequence[Comparison]]) -> bool:
    """Say whether a column belongs on the page: of steps, only where somebody recorded them."""
    found = comparisons.get(asked, ())
    return bool(found) and (asked[0] not in OF_STEPS or any(comparison.ranks for comparison in found))


def _compared(
    book: Book,
    runs: Sequence[ReducedRun],
    campaign: str,
    quantity: Quantity | None,
    grids: Mapping[Quantity, tuple[float, ...]],
) -> Sequence[Comparison]:
    """Return every comparison at one quantity: asked together, they share the work."""
    conditions = () if quantity is None else grids[quantity]
    if quantity is not None and not conditions:
        return ()
    selection = Selection(
        measurands=tuple(measurand for measurand, at in ASKED if at == quantity),
        thrusts=conditions if quantity == "thrust" else (),
        speeds=conditions if quantity == "speed" else (),
        campaigns=(campaign,),
    )
    return compare_designs(book, runs, selection).comparisons


def _members(book: Book, comparisons: Mapping[Asked, Sequence[Comparison]]) -> tuple[str, ...]:
    there = {
        result.design
        for column in comparisons.values()
        for comparison in column
        for result in (*(rank.result for rank in comparison.ranks), *comparison.absent)
    }
    return (*(name for name in book.designs if name in there), *sorted(there - set(book.designs)))


def _marks(book: Book, quantity: Quantity, grid: Sequence[float]) -> tuple[int, ...]:
    return tuple(grid.index(point) for point in sorted(_points(book, quantity)) if point in grid)


def _start(book: Book, quantity: Quantity, grid: Sequence[float]) -> int:
    """Return the middle comparison point's place, or the middle of the grid."""
    marks = _marks(book, quantity, grid)
    return marks[(len(marks) - 1) // 2] if marks else len(grid) // 2


def _pictures(book: Book, runs: Sequence[ReducedRun], executor: Executor | None) -> Mapping[RunName, RunPicture]:
    """Return pictures of the runs in which something was found at a time of its own."""
    grave = [run for run in runs if any(_shows(run, severity) for severity in ("fail", "warning"))]
    grave.sort(key=lambda run: not _shows(run, "fail"))
    return take_pictures(picture_jobs(book, grave[:MOST_PICTURES]), executor)


def _shows(run: ReducedRun, severity: str) -> bool:
    return any(finding.severity == severity for finding in run.findings)


def _tell_nobody(done: int, total: int, what: str) -> None:
    """Take the place of a progress that nobody wants."""
