"""What the checks of a campaign look at: its reduced runs together, and which files they came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from isothrust.records.book import Design
from isothrust.records.reduced import ReducedRun

__all__ = ["CampaignEvidence", "Twin"]


@dataclass(frozen=True, slots=True)
class Twin:
    """A file of some run of the book."""

    campaign: str
    run: str
    kind: str
    """'log', 'vibration' or 'sound'."""
    file: str
    """Its path under the campaign's raw/."""


@dataclass(frozen=True, slots=True)
class CampaignEvidence:
    """All runs of one campaign; a check reads them and changes nothing."""

    campaign: str
    runs: tuple[ReducedRun, ...]
    """In the order of the book, each with the findings of its own; some could not be reduced and have no curves."""
    designs: Mapping[str, Design] = field(default_factory=dict)
    """By name, those of the runs; one that propellers.csv lacks is not there."""
    hashes: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """Run -> kind of file -> SHA-256; a file that is not there has none."""
    files: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """Run -> kind of file -> path under raw/."""
    twins: Mapping[str, tuple[Twin, ...]] = field(default_factory=dict)
    """SHA-256 -> where in the whole book the same bytes stand, for those of this campaign that stand more than once."""
