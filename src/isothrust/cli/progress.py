"""A bar on standard error while something lasts, on a terminal that can draw one."""

from __future__ import annotations

import os
import shutil
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

import click

__all__ = ["ProgressBar", "draws_bar", "progress_bar"]

BAR = 24
PATIENCE = 0.3
"""What is done sooner [s] gets no bar: it would only flicker."""


def draws_bar() -> bool:
    """Say whether standard error is a terminal that can go back to the start of a line."""
    return sys.stderr.isatty() and os.environ.get("TERM") != "dumb"


class ProgressBar:
    """Called with how many things are done, how many there are to do, and which was the last.

    With nothing to count (0 of 0) the words alone are drawn, at once: whoever calls so is about to be long.
    """

    def __init__(self) -> None:
        self._drawn = False
        self._begun = time.monotonic()

    def __call__(self, done: int, total: int, what: str) -> None:
        """Draw the bar anew."""
        if not draws_bar() or (total and time.monotonic() - self._begun < PATIENCE):
            return
        full = round(BAR * done / total) if total else 0
        text = f"[{'#' * full}{'-' * (BAR - full)}] {done} of {total}  {what}" if total else f"… {what}"
        width = max(shutil.get_terminal_size().columns - 1, BAR)
        click.echo("\r" + text[:width].ljust(width), err=True, nl=False)
        self._drawn = True

    def clear(self) -> None:
        """Take the bar away."""
        if self._drawn:
            width = max(shutil.get_terminal_size().columns - 1, BAR)
            click.echo("\r" + " " * width + "\r", err=True, nl=False)
            self._drawn = False


@contextmanager
def progress_bar() -> Iterator[ProgressBar]:
    """Yield a bar and take it away at the end."""
    bar = ProgressBar()
    try:
        yield bar
    finally:
        bar.clear()
