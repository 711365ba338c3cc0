"""The entry point: the table of commands, and what becomes of an error."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence
from types import MappingProxyType

import click

from isothrust import __version__
from isothrust.cli.completion_shells import VARIABLE, answer_shell
from isothrust.cli.failure import ReaderGoneError, exit_status_of, tell
from isothrust.cli.lazy import CommandPlace, LazyGroup
from isothrust.cli.session import Session, debug_option
from isothrust.cli.threads import one_thread_of_algebra

__all__ = ["COMMANDS", "command_group", "main"]

COMMANDS: Mapping[str, CommandPlace] = MappingProxyType(
    {
        "new": CommandPlace("isothrust.cli.new", "Make a commented book: empty, or from a folder of logs."),
        "add": CommandPlace("isothrust.cli.add", "Take a folder of recordings into a campaign."),
        "check": CommandPlace("isothrust.cli.check", "Look for what is wrong with recordings, at the bench."),
        "accept": CommandPlace("isothrust.cli.accept", "Let a run count that a check has set aside, with the reason."),
        "leave-out": CommandPlace("isothrust.cli.leave_out", "Set a run aside by hand, with the reason."),
        "reduce": CommandPlace("isothrust.cli.reduce", "Turn recordings into curves; only what changed."),
        "results": CommandPlace("isothrust.cli.results", "Show figures with their uncertainty."),
        "compare": CommandPlace("isothrust.cli.compare", "Rank designs within their class, with ties."),
        "motor": CommandPlace("isothrust.cli.motor", "Show the motor that the runs of a campaign tell."),
        "explain": CommandPlace("isothrust.cli.explain", "Follow a figure back to files, zeros, fits and budget."),
        "balance": CommandPlace("isothrust.cli.balance", "Say what balances a propeller, from runs with a trial mass."),
        "match": CommandPlace("isothrust.cli.match", "Say what binds a propeller on a motor, and what would suit it."),
        "predict": CommandPlace("isothrust.cli.predict", "Say what a propeller would do on another motor and craft."),
        "chart": CommandPlace("isothrust.cli.chart", "Draw one chart as PNG, SVG or PDF."),
        "report": CommandPlace("isothrust.cli.report", "Write one page with rankings, charts and findings."),
        "demo": CommandPlace("isothrust.cli.demo", "Write a demonstration book, reduce and compare it."),
        "completion": CommandPlace("isothrust.cli.completion", "Print what makes a shell complete commands and names."),
    }
)

HELP = """Figures from a propeller bench that can be compared and defended.

A book is a folder; commands work on the current folder unless --book names another.
Results go to standard output, everything else to standard error.
"""


def command_group() -> LazyGroup:
    """Return the group of all commands, none of them imported yet."""
    group = LazyGroup(
        name="isothrust",
        places=COMMANDS,
        help=HELP,
        epilog="Begin with  isothrust demo DIR,  or with  isothrust new DIR --from FOLDER  for logs of your own.",
        context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
        no_args_is_help=True,
    )
    return debug_option(click.version_option(__version__, message="isothrust %(version)s")(group))


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit status."""
    one_thread_of_algebra()
    for stream in (sys.stdout, sys.stderr):
        # A terminal that lacks a sign such as ± shows a question mark; it must not end the command.
        getattr(stream, "reconfigure", lambda **_: None)(errors="replace")
    if VARIABLE in os.environ:
        sys.exit(answer_shell(command_group()))
    session = Session()
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        status = command_group().main(
            args=words,
            prog_name="isothrust",
            obj=session,
            standalone_mode=False,
        )
    # The one place where every failure gets its message and exit status.
    except BaseException as error:
        if session.debug and isinstance(error, Exception):
            raise
        if isinstance(error, ReaderGoneError):
            # What is still buffered must not be flushed into the closed pipe when Python ends.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        tell(error, words)
        sys.exit(exit_status_of(error))
    sys.exit(status if isinstance(status, int) else 0)
