"""What an error looks like on the screen, and the exit status it leaves."""

from __future__ import annotations

import shlex
from collections.abc import Sequence

import click

from isothrust.errors import BookError, IsothrustError, Problem, ProblemsError, RigError, Where

__all__ = ["ReaderGoneError", "exit_status_of", "tell"]

UNUSABLE = 2
"""Exit status: the book, a rig or a named object is unreadable, words the command cannot use, or no run done."""
OWN_FAULT = 3
"""Exit status: the program itself went wrong."""
INTERRUPTED = 130
"""Exit status: stopped from the keyboard, as shells count it."""
PIPE_CLOSED = 141
"""Exit status: the reader of the output went away, as shells count it."""


class ReaderGoneError(Exception):
    """The reader of the output went away. Not an OSError: for that click would leave with 1, a run not reduced."""


def exit_status_of(error: BaseException) -> int:
    """Return the exit status for an error that ended a command."""
    if isinstance(error, SystemExit):
        return error.code if isinstance(error.code, int) else 0
    if isinstance(error, click.exceptions.Exit):
        return error.exit_code
    if isinstance(error, KeyboardInterrupt | click.Abort):
        return INTERRUPTED
    if isinstance(error, ReaderGoneError):
        return PIPE_CLOSED
    if isinstance(error, IsothrustError | click.ClickException | OSError):
        return UNUSABLE
    return OWN_FAULT


def tell(error: BaseException, command: Sequence[str] = ()) -> None:
    """Say on standard error what went wrong, in the form that every message has, and the next thing to type.

    `command` is what was typed: once the files are mended, it is the command to type again.
    """
    if isinstance(error, SystemExit | click.exceptions.Exit | ReaderGoneError):
        return
    click.echo(_text(error), err=True)
    if isinstance(error, BookError | RigError | ProblemsError) and any(map(_is_in_a_file, error.problems)):
        click.echo(f"\nnext, once {_it(error)} mended:  {shlex.join(['isothrust', *command])}", err=True)


def _is_in_a_file(problem: Problem) -> bool:
    return problem.where is not None and (problem.where.line is not None or problem.code == "missing-file")


def _it(error: IsothrustError) -> str:
    return "that is" if len(error.problems) == 1 else f"these {len(error.problems)} are"


def _text(error: BaseException) -> str:
    if isinstance(error, IsothrustError):
        return "\n\n".join(problem.text() for problem in error.problems)
    if isinstance(error, KeyboardInterrupt | click.Abort):
        return "stopped; what was finished is kept, and the next call does the rest"
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        return error.ctx.get_help()
    if isinstance(error, click.UsageError):
        return _usage(error)
    if isinstance(error, OSError):
        return Problem(
            "file-not-accessible",
            f"{error.strerror or error}: {error.filename}" if error.filename else str(error),
            expected="a file or folder that this user may read and write, and room on the disk",
            fix="check the path, its permissions and the space left",
        ).text()
    return Problem(
        "internal-error",
        f"the program itself went wrong: {type(error).__name__}: {error}",
        fix="run the same command with --debug and report what it prints",
    ).text()


def _usage(error: click.UsageError) -> str:
    command = error.ctx.command_path if error.ctx is not None else "isothrust"
    message = error.format_message().rstrip(".")
    what = message[:1].lower() + message[1:]
    expected = "the options and words that its help names"
    return Problem("wrong-usage", what, Where(command), expected, f"{command} --help").text()
