"""isothrust report: one page that needs nothing besides itself."""

from __future__ import annotations

from pathlib import Path

import click

from isothrust.book.load import load_book
from isothrust.cli.pool import executor_for
from isothrust.cli.progress import progress_bar
from isothrust.cli.reducing import jobs_option, reduced_runs, up_to_date
from isothrust.cli.screen import show_text
from isothrust.cli.session import book_option
from isothrust.tables.atomic import write_text
from isothrust.workflows.reduce import ReduceOutcome
from isothrust.workflows.report import write_report
from isothrust.workflows.selection import Selection, check_selection

__all__ = ["REPORT_FILE", "command", "saved_report"]

REPORT_FILE = "report.html"


@click.command("report", help="Write one page with rankings, charts and findings that works offline and on a phone.")
@click.option("--campaign", "campaigns", multiple=True, metavar="NAME", help="This campaign only; may be repeated.")
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help=f"Default: {REPORT_FILE} in the book.")
@click.option("--title", metavar="TEXT", help="Of the page (default: the book's).")
@jobs_option
@book_option
def command(*, campaigns: tuple[str, ...], out: Path | None, title: str | None, jobs: int | None, book: str) -> int:
    """Write the page and say where it is."""
    check_selection(load_book(book), Selection(campaigns=campaigns))
    outcome = up_to_date(book, jobs)
    show_text(saved_report(outcome, out or Path(book) / REPORT_FILE, campaigns=campaigns, title=title, jobs=jobs))
    return 0


def saved_report(
    outcome: ReduceOutcome,
    path: Path,
    *,
    campaigns: tuple[str, ...] = (),
    title: str | None = None,
    jobs: int | None = None,
) -> str:
    """Write the page and return the line that tells of it."""
    with executor_for(jobs) as executor, progress_bar() as bar:
        report = write_report(
            outcome.book, reduced_runs(outcome), campaigns=campaigns, title=title, executor=executor, progress=bar
        )
    write_text(path, report.html)
    size = len(report.html.encode("utf-8")) / 1e6
    return f"{path}: {size:.1f} MB, one file that needs nothing besides itself; open it in any browser"
