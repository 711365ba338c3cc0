"""What a decision on a run did."""

from __future__ import annotations

from dataclasses import dataclass

from isothrust.records.book import Decision
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Result
from isothrust.records.standing import Standing

__all__ = ["DecidedRun"]


@dataclass(frozen=True, slots=True)
class DecidedRun:
    """One run, before and after."""

    reduced: ReducedRun
    decision: Decision
    before: Standing
    now: Standing
    figures_before: tuple[Result, ...]
    """Usual results that rested on the run."""
    figures: tuple[Result, ...]
    """Those that rest on it now."""
