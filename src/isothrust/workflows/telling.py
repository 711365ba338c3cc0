"""How long work tells how far it is."""

from __future__ import annotations

from collections.abc import Callable

__all__ = ["Progress", "tell_nobody"]

Progress = Callable[[int, int, str], None]
"""Called with how many things are done, how many there are to do, and a few words; 0 of 0 where nothing is counted."""


def tell_nobody(done: int, total: int, what: str) -> None:
    """Take the place of a progress that nobody wants."""
