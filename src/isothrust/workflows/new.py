"""Make an empty book."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from isothrust.book.campaigns import EXAMPLE_RIG
from isothrust.book.create import create_book

__all__ = ["NewBook", "create"]


@dataclass(frozen=True, slots=True)
class NewBook:
    """What was made, and what to do next."""

    root: str
    files: tuple[str, ...]
    next_steps: tuple[str, ...]


def create(root: str | Path) -> NewBook:
    """Make an empty, commented book in a folder that is new or empty; raises BookError, and touches nothing, if not."""
    files = create_book(root)
    steps = (
        f"add your propellers to {Path(root) / 'propellers.csv'}",
        f"describe your stand: copy {Path(root) / EXAMPLE_RIG} to a name of its own and change it",
        f"isothrust add FOLDER --campaign NAME --rig RIG --book {root}",
    )
    return NewBook(str(root), files, steps)
