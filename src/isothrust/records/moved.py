"""What a `reduce` did to the figures: which moved, by how much, and why."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from isothrust.records.result import Result

__all__ = ["Move", "MoveKind", "Moves", "RunChange", "Why"]

MoveKind = Literal["moved", "appeared", "vanished", "surer"]
"""Surer: the value stands, and its uncertainty became another."""


@dataclass(frozen=True, slots=True)
class RunChange:
    """A run of which a part of the input changed."""

    run: str
    parts: tuple[str, ...]
    """Names of the parts: 'run.air', 'rig.channels.thrust', 'hashes.log', 'design.diameter', 'inertia', …"""


@dataclass(frozen=True, slots=True)
class Why:
    """What changed under the figures of one design in one campaign; nothing of it: see `Move.elsewhere`."""

    changed: tuple[RunChange, ...] = ()
    added: tuple[str, ...] = ()
    """Runs that the book did not have."""
    removed: tuple[str, ...] = ()
    """Runs that left the book, or went to another design."""
    set_aside: tuple[tuple[str, str], ...] = ()
    """Runs that no longer count, and why."""
    counting: tuple[str, ...] = ()
    """Runs that count again: a decision was made, or taken back."""

    @property
    def nothing(self) -> bool:
        """Whether nothing changed under the design itself."""
        return not (self.changed or self.added or self.removed or self.set_aside or self.counting)


@dataclass(frozen=True, slots=True)
class Move:
    """One figure before and after."""

    kind: MoveKind
    former: Result | None
    now: Result | None
    by: float | None
    """Change of the value in former standard uncertainties, signed; None where it has none."""
    why: Why = field(default_factory=Why)
    elsewhere: Literal["scatter", "asked", "left", "new", ""] = ""
    """Where nothing under the design changed: the scatter pooled over the campaign did; what is asked did; the design
    or its campaign left the book; the campaign is new."""


@dataclass(frozen=True, slots=True)
class Moves:
    """All figures that moved, those that moved furthest first, then those that appeared and vanished."""

    moves: tuple[Move, ...] = ()
    compared: bool = False
    """False where there are no former figures to compare with."""

    def of_kind(self, kind: MoveKind) -> tuple[Move, ...]:
        """Return the figures of one kind."""
        return tuple(move for move in self.moves if move.kind == kind)
