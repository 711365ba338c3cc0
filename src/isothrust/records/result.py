"""A result: a measurand's value with its uncertainty and where it came from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from isothrust.records.reduced import Contribution

__all__ = ["Comparison", "Condition", "Interval", "Pair", "Rank", "Result"]

Interval = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Condition:
    """At which thrust [N] or speed [rad/s] a figure holds."""

    quantity: Literal["thrust", "speed"]
    value: float


@dataclass(frozen=True, slots=True)
class Result:
    """One measurand of one design (or sample, or run), SI units."""

    measurand: str
    condition: Condition | None
    design: str
    sample: str | None
    campaign: str
    runs: tuple[str, ...]
    value: float | None
    standard_uncertainty: float | None
    """As tested."""
    interval: Interval | None
    """95 % coverage, as tested: these samples."""
    interval_of_design: Interval | None
    interval_as_sold: Interval | None
    degrees_of_freedom: float | None
    budget: Sequence[Contribution]
    """As tested."""
    sample_contributions: Sequence[Contribution]
    """What 'of the design' adds: one entry a sample (key 'sample DESIGN/SAMPLE'), empty where no figure exists."""
    flags: tuple[str, ...]
    absent: str | None
    method_version: int


@dataclass(frozen=True, slots=True)
class Pair:
    """One pairwise difference, of the design (or 'these samples only')."""

    first: str
    second: str
    difference: float
    """first - second, SI."""
    relative: float | None
    """(first - second) / second."""
    uncertainty: float
    degrees_of_freedom: float
    half_width: float
    """Of the family-wise 95 % interval."""
    real: bool
    """True where the family-wise interval excludes zero."""
    statement: Literal["of the design", "these samples only"]


@dataclass(frozen=True, slots=True)
class Rank:
    """One design's place in a ranking."""

    place: int
    tied_with: tuple[str, ...]
    result: Result


@dataclass(frozen=True, slots=True)
class Comparison:
    """One measurand at one condition within one class, ranked."""

    measurand: str
    condition: Condition | None
    class_name: str
    """'7 inch, 2 blades' or a label that says that classes were mixed."""
    mixed: bool
    ranks: tuple[Rank, ...]
    absent: tuple[Result, ...]
    pairs: Sequence[Pair]
    """Every pair once, the better one first, in the order of rank."""
    sentences: tuple[str, ...]
    better: Literal["more", "less"] | None = None
    """Which way is better at this condition; None where neither is (less power at equal speed may be less thrust)."""
    notes: tuple[str, ...] = ()
    """What a reader must know: layouts, obstruction not stated and diameters that differ, 'these samples only', …"""
