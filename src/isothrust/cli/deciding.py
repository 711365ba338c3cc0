"""What `accept` and `leave-out` share: their options, and what is shown of a decision."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import click

from isothrust.cli.reducing import computing, jobs_option, up_to_date
from isothrust.cli.screen import say, show_tables, show_text
from isothrust.cli.session import book_option, json_option
from isothrust.errors import UsageError, Where
from isothrust.present.decided_table import decided_object, decided_table
from isothrust.present.moved_table import moved_objects, moved_table
from isothrust.present.objects import json_text
from isothrust.workflows.decide import Wish, decide
from isothrust.workflows.moved import moves_told

__all__ = ["decided_and_shown", "deciding_options"]

Command = Callable[..., int]

OPTIONS: Final[tuple[Callable[[Command], Command], ...]] = (
    click.argument("runs", nargs=-1, metavar="RUN..."),
    click.option("--because", default="", metavar="TEXT", help="The reason, in a sentence; it is kept and shown."),
    click.option("--withdraw", is_flag=True, help="Take back what was decided; this needs its reason as well."),
    click.option("--by", metavar="NAME", help="Who decides (default: the name that the system knows you by)."),
    json_option,
    jobs_option,
    book_option,
)


def deciding_options(function: Command) -> Command:
    """Add runs, reason, and who decides."""
    for option in reversed(OPTIONS):
        function = option(function)
    return function


def decided_and_shown(wish: Wish, *, as_json: bool, jobs: int | None, book: str) -> int:
    """Decide, and say what changes."""
    if not wish.runs:
        raise UsageError(
            "no run is named",
            code="run-needed",
            where=Where(f"isothrust {wish.action}"),
            expected="RUN, or CAMPAIGN/RUN",
            fix="isothrust check  names the runs in which something was found",
        )
    outcome = up_to_date(book, jobs)
    with computing(outcome):
        decided = decide(outcome, wish)
    if as_json:
        objects = [decided_object(one) for one in decided.runs]
        show_text(json_text([*objects, *moved_objects(decided.moves)]))
    else:
        moved = moved_table(decided.moves)
        show_tables([*(decided_table(one) for one in decided.runs), *([moved] if moved else [])])
        say(f"\nwritten: {len(decided.runs)} line{'' if len(decided.runs) == 1 else 's'} of decisions.jsonl")
    moves_told(decided.outcome.book)
    return 0
