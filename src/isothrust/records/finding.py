"""Something odd in usable data, and what was done about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Finding", "Severity"]

Severity = Literal["note", "warning", "fail"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding of a run (or of the book, where `run` is empty).

    `note`: nothing was changed; `warning`: samples were repaired or left out, or a figure may move;
    `fail`: the run is set aside from pooled results.
    """

    code: str
    severity: Severity
    message: str
    """One sentence for people, with the number that proves it and its unit."""
    run: str = ""
    channel: str | None = None
    start: float | None = None
    """Time of the first sample concerned [s], on the channel's own clock."""
    end: float | None = None
    """Time of the last sample concerned [s]."""
    count: int | None = None
    """Number of samples, rows or values concerned."""
    effect: str | None = None
    """What it does to the figures, in per cent where it can be estimated."""
    done: str = "nothing"
    """What was done about it."""
