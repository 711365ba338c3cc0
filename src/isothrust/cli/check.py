"""isothrust check: what is wrong with recordings, of the book or fresh from the bench."""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import click

from isothrust.cli.bookfindings import tell_findings
from isothrust.cli.check_pictures import DrawnFinding, draw_into, pictures_table
from isothrust.cli.freshoptions import fresh_options, fresh_words
from isothrust.cli.pool import executor_for
from isothrust.cli.progress import progress_bar
from isothrust.cli.reducing import jobs_option, no_runs
from isothrust.cli.screen import say, show_tables, show_text, width_of_screen
from isothrust.cli.session import book_option, book_words, json_option
from isothrust.cli.status import exit_status_for, tell_failures
from isothrust.present.charts.signature import PictureKind
from isothrust.present.checked_table import checked_summary, checked_table
from isothrust.present.findings_table import gathered_notes
from isothrust.present.objects import finding_object, json_text
from isothrust.present.table import Table
from isothrust.present.verdict import verdict_lines, verdict_object
from isothrust.records.reduced import ReducedRun
from isothrust.records.standing import GIVES_NOTHING, Standing, last_decisions, standing_of
from isothrust.workflows.check import CheckOutcome, FreshOptions, check

__all__ = ["command"]


@click.command(
    "check",
    help="Look for what is wrong with runs of the book (all, or RUN by name), or give a verdict on a fresh FILE.",
)
@click.argument("targets", nargs=-1, metavar="[RUN | FILE]...")
@fresh_options
@click.option("--pictures", metavar="DIR", help="Draw each finding that has a place in its recording into DIR.")
@click.option(
    "--picture-kind", type=click.Choice(["png", "svg", "pdf"]), default="png", show_default=True, help="Of these files."
)
@json_option
@jobs_option
@book_option
def command(
    *,
    targets: tuple[str, ...],
    fresh: FreshOptions,
    pictures: str | None,
    picture_kind: PictureKind,
    as_json: bool,
    jobs: int | None,
    book: str,
) -> int:
    """Check, and show what was found."""
    with executor_for(jobs) as executor:
        with progress_bar() as bar:
            outcome = check(book, targets, fresh=fresh, executor=executor, progress=bar)
        if not outcome.checked:
            tell_findings(outcome.findings)
            raise no_runs(book)
        drawn = None if pictures is None else draw_into(Path(pictures), picture_kind, outcome.checked, executor)
    runs = [one.reduced for one in outcome.checked]
    failed = {(run.campaign, run.run) for run in runs if any(finding.code in GIVES_NOTHING for finding in run.findings)}
    if as_json:
        show_text(json_text(_objects(outcome, drawn)))
    else:
        _show(outcome, book, f"{fresh_words(fresh)}{book_words(book)} --json", whole=bool(targets))
        if pictures is not None and drawn is not None:
            show_tables([Table("", (), ()), pictures_table(Path(pictures), drawn)])
        # What the tables show of a run of the book is not told a second time; a verdict has only its first line.
        tell_failures([one.reduced for one in outcome.checked if one.file], failed)
    return exit_status_for(runs, failed, outcome.decisions)


def _objects(outcome: CheckOutcome, drawn: Sequence[DrawnFinding] | None) -> list[dict[str, object]]:
    """Return one object a finding; where pictures were asked for, with the path of its picture or why there is none."""
    objects: list[dict[str, object]] = [{"campaign": "", **finding_object(finding)} for finding in outcome.findings]
    pictures = iter(drawn or ())
    for one in outcome.checked:
        name = one.file or one.run
        for finding in one.findings:
            there = {} if drawn is None else next(pictures).words()
            objects.append({"campaign": one.campaign, **finding_object(replace(finding, run=name)), **there})
        if one.fresh is not None:
            objects.append({"campaign": "", **verdict_object(name, one.fresh)})
    return objects


def _show(outcome: CheckOutcome, book: str, again: str, *, whole: bool) -> None:
    """Print verdicts on loose files and findings of runs; without `whole`, notes that many runs share stand once."""
    tell_findings(outcome.findings)
    for one in outcome.checked:
        if one.fresh is not None:
            show_text("\n".join(verdict_lines(one.file, one.fresh)))
            if len(one.findings) > 1:
                say(f"all that was found: isothrust check {shlex.quote(one.file)}{again}")
    holding = last_decisions(outcome.decisions)
    listed = {f"{one.campaign}/{one.run}": one.reduced for one in outcome.checked if not one.file}
    standings = {name: standing_of(run, holding) for name, run in listed.items()}
    grave = [name for name, run in listed.items() if whole or not _is_quiet(run, standings[name])]
    noted = [(name, finding) for name, run in listed.items() if name not in grave for finding in run.findings]
    tables = [checked_table(listed[name], standings[name], width_of_screen()) for name in grave]
    if noted:
        title = f"Notes{' of the other runs' if tables else ''} (nothing was changed)"
        tables.append(gathered_notes(title, noted))
    show_tables(tables)
    if listed:
        total = checked_summary([(run, standings[name]) for name, run in listed.items()])
        show_text(("\n" if tables else "") + total)
        _say_next([name for name, standing in standings.items() if not standing.settled], standings, book)


def _is_quiet(run: ReducedRun, standing: Standing) -> bool:
    return standing.decision is None and all(finding.severity == "note" for finding in run.findings)


def _say_next(waiting: Sequence[str], standings: Mapping[str, Standing], book: str) -> None:
    """Say what may be done about runs that a check has set aside."""
    there = [name for name in waiting if not standings[name].gives_nothing]
    if there:
        say(f'next: record it again, or  isothrust accept {there[0]} --because "…"{book_words(book)}')
