"""What a report is made of: records, gathered by the workflow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from isothrust.records.book import Book
from isothrust.records.picture import RunPicture
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Comparison

__all__ = ["Asked", "Quantity", "ReportContent", "ScopeContent"]

Quantity = Literal["thrust", "speed"]
Asked = tuple[str, Quantity | None]
"""A measurand, and at what it is asked; None: a figure of whole runs."""


@dataclass(frozen=True, slots=True)
class ScopeContent:
    """One class of one campaign: the propellers that may fairly be compared."""

    campaign: str
    class_name: str
    designs: tuple[str, ...]
    grids: Mapping[Quantity, tuple[float, ...]]
    """Conditions at which everything was asked, rising: thrusts [N], speeds [rad/s]; empty where there are none."""
    start: Mapping[Quantity, int]
    """Which of them the page begins with: the book's middle comparison point."""
    points: Mapping[Quantity, tuple[int, ...]]
    """Which of them are the book's comparison points."""
    comparisons: Mapping[Asked, tuple[Comparison, ...]]
    """One comparison for each condition of the grid; one alone for a figure of whole runs."""


@dataclass(frozen=True, slots=True)
class ReportContent:
    """Everything that the page says."""

    title: str
    book: Book
    campaigns: tuple[str, ...]
    scopes: tuple[ScopeContent, ...]
    runs: tuple[ReducedRun, ...]
    set_aside: Mapping[tuple[str, str], str]
    """(campaign, run) -> why it does not count."""
    pictures: Mapping[tuple[str, str], RunPicture]
    version: str
    """Of the program."""
