"""isothrust demo: a simulated book with raw recordings, reduced and compared."""

from __future__ import annotations

from pathlib import Path

import click

from isothrust.cli.compare import show_comparisons
from isothrust.cli.progress import progress_bar
from isothrust.cli.reducing import jobs_option, reduced_runs, reduced_with_bar
from isothrust.cli.report import REPORT_FILE, saved_report
from isothrust.cli.screen import say, show_text
from isothrust.cli.session import book_words, debug_option
from isothrust.cli.status import exit_status_for, tell_failures
from isothrust.workflows.compare import compare_designs
from isothrust.workflows.demo import write_demo
from isothrust.workflows.moved import store_and_compare
from isothrust.workflows.selection import Selection

__all__ = ["command"]

MEASURANDS = ("electrical-power",)
"""What the demonstration's survey group looks at first: how long a quadcopter hovers on its battery."""


@click.command(
    "demo", help="Write a demonstration book with simulated recordings into DIR, reduce it, compare and report."
)
@click.argument("directory", metavar="DIR", type=click.Path(path_type=str))
@jobs_option
@debug_option
def command(directory: str, jobs: int | None) -> int:
    """Write the book (what is there already is kept), reduce it, show the comparison and what to look at next."""
    with progress_bar() as bar:
        written = write_demo(directory, progress=bar)
    kept = f", {len(written.kept)} were there already" if written.kept else ""
    say(f"{directory}: {len(written.written)} files written{kept}; every propeller, maker and figure in it is invented")
    outcome = reduced_with_bar(directory, jobs)
    runs = reduced_runs(outcome)
    store_and_compare(outcome)
    counts = {"reduced now": outcome.reduced, "up to date": outcome.fresh, "not reduced": outcome.failed}
    said = ", ".join(f"{len(names)} {what}" for what, names in counts.items() if names)
    say(f"{len(runs)} runs: {said}")
    tell_failures(runs, outcome.failed)
    thrusts = outcome.book.comparison_thrusts
    middle = thrusts[len(thrusts) // 2 : len(thrusts) // 2 + 1]
    show_text("")
    compared = compare_designs(outcome.book, runs, Selection(measurands=MEASURANDS, thrusts=middle))
    show_comparisons(compared, outcome.book.standard_density)
    page = saved_report(outcome, Path(directory) / REPORT_FILE, jobs=jobs)
    show_text(f"\n{page}")
    show_text(_next(directory))
    return exit_status_for(runs, outcome.failed, outcome.book.decisions)


def _next(directory: str) -> str:
    book = book_words(directory)
    return f"""
What to look at next:
  isothrust check{book}
      what was found in the recordings, what was done about it, and the run that failed
  isothrust compare{book} --campaign spring-two-blades --of shaft-power
      six propellers at three thrusts: which differ, and which are tied
  isothrust results{book} --of shaft-efficiency --at thrust=500gf --per run
      one figure, run by run, with its uncertainty
  isothrust explain{book} tirrick-7x3.5 --campaign spring-two-blades
      where a figure comes from, down to the files: text to follow with a calculator
  isothrust results{book} --of shaft-efficiency --at thrust=500gf --json
      the same by design, for a program, with what the uncertainty is made of
  isothrust results --list
      everything that can be asked"""
