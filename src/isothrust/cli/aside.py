"""Naming the runs that do not count."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from isothrust.cli.screen import say, width_of_screen
from isothrust.cli.session import book_words
from isothrust.reduction.pooling_runs import SetAside

__all__ = ["say_set_aside"]


def say_set_aside(runs: Sequence[SetAside], book: str) -> None:
    """Tell on standard error which runs were set aside, and why; and how one that has figures counts all the same."""
    if not runs:
        return
    say("\nset aside:")
    for one in runs:
        text = f"  {one.campaign}/{one.run} ({one.design}): {one.reason}"
        say(textwrap.fill(text, width_of_screen(), subsequent_indent="    ", break_on_hyphens=False))
    names = [f"{one.campaign}/{one.run}" for one in runs if one.may_be_accepted]
    if names:
        say(f'to let one count in spite of that:  isothrust accept {names[0]} --because "…"{book_words(book)}')
