"""A bar on standard error while runs are reduced, on a terminal only."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import click

__all__ = ["ProgressBar", "progress_bar"]

BAR = 24


class ProgressBar:
    """Called with how many runs are done, how many there are to do, and which was the last."""

    def __init__(self) -> None:
        self._drawn = False

    def __call__(self, done: int, total: int, what: str) -> None:
        """Draw the bar anew."""
        if not sys.stderr.isatty():
            return
        full = round(BAR * done / total) if total else 0
        count = f"{done} of {total}" if total else ""
        text = f"[{'#' * full}{'-' * (BAR - full)}] {count}  {what}"
        width = max(shutil.get_terminal_size().columns - 1, BAR)
        click.echo("\r" + text[:width].ljust(width), err=True, nl=False)
        self._drawn = True

    def clear(self) -> None:
        """Take the bar away."""
        if self._drawn:
            width = max(shutil.get_terminal_size().columns - 1, BAR)
            click.echo("\r" + " " * width + "\r", err=True, nl=False)


@contextmanager
def progress_bar() -> Iterator[ProgressBar]:
    """Yield a bar and take it away at the end."""
    bar = ProgressBar()
    try:
        yield bar
    finally:
        bar.clear()
