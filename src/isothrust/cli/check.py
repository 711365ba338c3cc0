"""isothrust check: what is wrong with recordings, of the book or fresh from the bench."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import click

from isothrust.cli.bookfindings import tell_findings
from isothrust.cli.pool import executor_for
from isothrust.cli.reducing import jobs_option
from isothrust.cli.screen import say, show_tables, show_text
from isothrust.cli.session import book_option, json_option
from isothrust.cli.status import exit_status_for, tell_failures
from isothrust.present.findings_table import findings_table, findings_verdict
from isothrust.present.objects import finding_object, json_text
from isothrust.present.verdict import verdict_lines
from isothrust.records.book import Kind
from isothrust.records.finding import Finding
from isothrust.workflows.check import CheckedRun, check

__all__ = ["command"]

NOT_REDUCED = frozenset({"not-reduced", "raw-changed"})


@click.command(
    "check",
    help="Look for what is wrong with runs of the book (all, or RUN by name), or give a verdict on a fresh FILE.",
)
@click.argument("targets", nargs=-1, metavar="[RUN | FILE]...")
@click.option("--rig", metavar="NAME", help="For a FILE: a rig of the book, or the path of a rig file.")
@click.option(
    "--kind",
    type=click.Choice(["ramp", "holds", "steps", "coast", "zero"]),
    help="For a FILE: what the run was (default: what the name tells).",
)
@json_option
@jobs_option
@book_option
def command(
    *,
    targets: tuple[str, ...],
    rig: str | None,
    kind: Kind | None,
    as_json: bool,
    jobs: int | None,
    book: str,
) -> int:
    """Check, and show what was found."""
    with executor_for(jobs) as executor:
        outcome = check(book, targets, rig=rig, kind=kind, executor=executor)
    runs = [one.reduced for one in outcome.checked]
    failed = {(run.campaign, run.run) for run in runs if any(finding.code in NOT_REDUCED for finding in run.findings)}
    if as_json:
        show_text(json_text(_objects(outcome.checked, outcome.findings)))
    else:
        _show(outcome.checked, outcome.findings)
        tell_failures(runs, failed)
    return exit_status_for(runs, failed)


def _objects(checked: Sequence[CheckedRun], of_book: Sequence[Finding]) -> list[dict[str, object]]:
    objects: list[dict[str, object]] = [{"campaign": "", **finding_object(finding)} for finding in of_book]
    for one in checked:
        name = one.file or one.run
        objects += [
            {"campaign": one.campaign, **finding_object(replace(finding, run=name))} for finding in one.findings
        ]
    return objects


def _show(checked: Sequence[CheckedRun], of_book: Sequence[Finding]) -> None:
    tell_findings(of_book)
    loose = [one for one in checked if one.file]
    for one in loose:
        show_text("\n".join(verdict_lines(one.file, one.reduced, f"isothrust check {one.file} --json")))
    listed = [one for one in checked if not one.file]
    speaking = [one for one in listed if one.findings]
    show_tables([findings_table(_title(one), one.findings) for one in speaking])
    if listed:
        rest = len(listed) - len(speaking)
        total = findings_verdict([finding for one in listed for finding in one.findings])
        quiet = f"; nothing was found in {'the other ' if speaking else ''}{rest}" if rest else ""
        show_text(("\n" if speaking else "") + f"{_runs(len(listed))} checked: {total}{quiet}")
    elif not loose:
        say("the book has no run yet; next: isothrust add FOLDER --campaign NAME --rig RIG")


def _runs(count: int) -> str:
    return f"{count} run{'s' if count != 1 else ''}"


def _title(one: CheckedRun) -> str:
    run = one.reduced
    what = " ".join(part for part in (run.design, run.sample, run.kind) if part)
    return f"{one.campaign}/{one.run}  {what}: {findings_verdict(one.findings)}"
