"""isothrust check: what is wrong with recordings, of the book or fresh from the bench."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from dataclasses import replace

import click

from isothrust.cli.bookfindings import tell_findings
from isothrust.cli.freshoptions import fresh_options, fresh_words
from isothrust.cli.pool import executor_for
from isothrust.cli.progress import progress_bar
from isothrust.cli.reducing import jobs_option, no_runs
from isothrust.cli.screen import counted, say, show_tables, show_text
from isothrust.cli.session import book_option, book_words, json_option
from isothrust.cli.status import exit_status_for, tell_failures
from isothrust.present.findings_table import findings_table, findings_verdict, gathered_notes
from isothrust.present.objects import finding_object, json_text
from isothrust.present.verdict import verdict_lines, verdict_object
from isothrust.records.finding import Finding
from isothrust.workflows.check import CheckedRun, CheckOutcome, FreshOptions, check

__all__ = ["command"]

NOT_REDUCED = frozenset({"not-reduced", "raw-changed"})


@click.command(
    "check",
    help="Look for what is wrong with runs of the book (all, or RUN by name), or give a verdict on a fresh FILE.",
)
@click.argument("targets", nargs=-1, metavar="[RUN | FILE]...")
@fresh_options
@json_option
@jobs_option
@book_option
def command(
    *,
    targets: tuple[str, ...],
    fresh: FreshOptions,
    as_json: bool,
    jobs: int | None,
    book: str,
) -> int:
    """Check, and show what was found."""
    with executor_for(jobs) as executor, progress_bar() as bar:
        outcome = check(book, targets, fresh=fresh, executor=executor, progress=bar)
    if not outcome.checked:
        tell_findings(outcome.findings)
        raise no_runs(book)
    runs = [one.reduced for one in outcome.checked]
    failed = {(run.campaign, run.run) for run in runs if any(finding.code in NOT_REDUCED for finding in run.findings)}
    if as_json:
        show_text(json_text(_objects(outcome.checked, outcome.findings)))
    else:
        _show(outcome, f"{fresh_words(fresh)}{book_words(book)} --json", whole=bool(targets))
        # What the tables show of a run of the book is not told a second time; a verdict has only its first line.
        tell_failures([one.reduced for one in outcome.checked if one.file], failed)
    return exit_status_for(runs, failed, outcome.decisions)


def _objects(checked: Sequence[CheckedRun], of_book: Sequence[Finding]) -> list[dict[str, object]]:
    objects: list[dict[str, object]] = [{"campaign": "", **finding_object(finding)} for finding in of_book]
    for one in checked:
        name = one.file or one.run
        objects += [
            {"campaign": one.campaign, **finding_object(replace(finding, run=name))} for finding in one.findings
        ]
        if one.fresh is not None:
            objects.append({"campaign": "", **verdict_object(name, one.fresh)})
    return objects


def _show(outcome: CheckOutcome, again: str, *, whole: bool) -> None:
    """Print verdicts on loose files and findings of runs; without `whole`, notes that many runs share stand once."""
    tell_findings(outcome.findings)
    for one in outcome.checked:
        if one.fresh is not None:
            show_text("\n".join(verdict_lines(one.file, one.fresh)))
            if len(one.findings) > 1:
                say(f"all that was found: isothrust check {shlex.quote(one.file)}{again}")
    listed = [one for one in outcome.checked if not one.file]
    grave = [one for one in listed if whole or any(finding.severity != "note" for finding in one.findings)]
    noted = [(f"{one.campaign}/{one.run}", finding) for one in listed if one not in grave for finding in one.findings]
    tables = [findings_table(_title(one), one.findings) for one in grave if one.findings]
    if noted:
        title = f"Notes{' of the other runs' if tables else ''} (nothing was changed)"
        tables.append(gathered_notes(title, noted))
    show_tables(tables)
    if listed:
        quiet = sum(not one.findings for one in listed)
        total = findings_verdict([finding for one in listed for finding in one.findings])
        rest = f"; nothing was found in {quiet} of them" if 0 < quiet < len(listed) else ""
        show_text(("\n" if tables else "") + f"{counted(len(listed), 'run')} checked: {total}{rest}")


def _title(one: CheckedRun) -> str:
    run = one.reduced
    what = " ".join(part for part in (run.design, run.sample, run.kind) if part)
    return f"{one.campaign}/{one.run}  {what}: {findings_verdict(one.findings)}"
