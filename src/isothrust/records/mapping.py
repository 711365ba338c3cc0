"""What the columns of unknown logs are taken for, with the evidence for it and what else they might be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["ColumnMapping", "Evidence", "EvidenceKind", "LayoutMapping", "Role", "UnitChoice"]

EvidenceKind = Literal["head", "unit", "range", "movement", "resolution", "file name"]

Role = Literal["channel", "beside", "unread"]
"""`channel`: the rig reads it; `beside`: its quantity is known, and another column is read for it, or it must not be
read as it stands; `unread`: it is no channel, or cannot be told."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One reason for taking a column for a quantity."""

    kind: EvidenceKind
    quantity: str
    """Name from `quantities.CHANNELS`, or '' for something that is no channel."""
    words: str
    """For people."""
    weight: float
    """How much it counts; negative where it speaks against."""


@dataclass(frozen=True, slots=True)
class UnitChoice:
    """A unit that would make sense of a column's values, where none is told."""

    unit: str
    meaning: str
    """What the values would then be."""


@dataclass(frozen=True, slots=True)
class ColumnMapping:
    """One column of a layout."""

    position: int
    """From 1."""
    head: str
    """As it stands in the log, empty where the log has no heads."""
    quantity: str | None
    """Best quantity, None where it is no channel or cannot be told."""
    role: Role
    unit: str | None
    """Told by the log; never guessed. None where it is not told, or none is needed."""
    unit_from: str
    """What tells the unit: 'its head', 'the row of units'; '' where nothing does."""
    needs_unit: bool
    """True where the tester must say the unit."""
    units: tuple[UnitChoice, ...]
    """What the unit may be, the likeliest first, where it is not told."""
    evidence: tuple[Evidence, ...]
    """For the best quantity, the weightiest first."""
    alternatives: tuple[str, ...]
    """Other quantities with something to say for them, the likeliest first."""
    remarks: tuple[str, ...] = ()
    """What the tester should know: a sign, electrical speed, why it is left unread."""
    sign: int = 1
    """-1 where the reading falls as it should rise."""
    electrical: bool = False
    """True where the head says that it is electrical speed."""
    low: float | None = None
    """Least reading seen, in the column's own unit; None where it holds no number."""
    high: float | None = None


@dataclass(frozen=True, slots=True)
class LayoutMapping:
    """The columns that logs of one layout have in common."""

    files: tuple[str, ...]
    """Paths under the folder, sorted."""
    dialect: str
    """How they are written, in words."""
    has_heads: bool
    columns: tuple[ColumnMapping, ...]
    joined: bool = False
    """True where blocks side by side in a sheet are read one after the other."""

    def channels(self, quantity: str) -> tuple[ColumnMapping, ...]:
        """Return the columns that the rig is to read a quantity from."""
        return tuple(column for column in self.columns if column.quantity == quantity and column.role == "channel")
