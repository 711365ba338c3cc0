"""A fresh recording beside the earlier runs of its design: by how much it differs, and how far that can be told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Condition

__all__ = ["Agreement", "AgreementPart", "AirSource", "Earlier", "FreshAir", "FreshFile", "PointDifference"]

AirSource = Literal["given", "run", "campaign", "book", "nobody"]
Says = Literal["agrees", "differs", "unclear", "nothing"]
"""Unclear: what would have to be known to say whether it differs is not."""
Unknown = Literal["air", "mounting", "sample", "repeats"]
"""The air of one of the days; how far a new mounting, or another sample, moves a figure; neither well enough."""


@dataclass(frozen=True, slots=True)
class PointDifference:
    """The fresh run's figure over the earlier mean, less one, at one condition."""

    condition: Condition
    difference: float
    half_width: float
    """Of the interval that holds for all points of all parts together."""
    real: bool


@dataclass(frozen=True, slots=True)
class AgreementPart:
    """One measurand: the mean of the differences over the conditions, in proportion [1]."""

    measurand: str
    difference: float
    uncertainty: float
    """Standard uncertainty for a single new run."""
    degrees_of_freedom: float
    half_width: float
    """Of the interval that holds 95 % of new runs, for all parts together."""
    real: bool
    """True where that interval excludes zero, and the difference is not smaller than matters at a bench."""
    points: tuple[PointDifference, ...]


@dataclass(frozen=True, slots=True)
class Earlier:
    """What the fresh run is held against."""

    campaign: str
    runs: tuple[str, ...]
    mountings: int
    samples: int
    not_current: int = 0
    """Runs of the design that were changed since they were reduced, or never were: they do not count."""


@dataclass(frozen=True, slots=True)
class FreshAir:
    """Where the air of a fresh recording came from."""

    origin: AirSource
    """Said with the command; of a run of the book; the default of the campaign or of the book; not known."""
    run: str = ""
    """The run that it was read for, as campaign/run."""
    doubt: float = 0.0
    """What the day's other readings say that it may have moved since, in proportion of the density [1]."""

    @property
    def shared(self) -> bool:
        """Whether an error of the air sensors acts on it as on the earlier runs."""
        return self.origin in {"given", "run"}


@dataclass(frozen=True, slots=True)
class Agreement:
    """Whether a fresh run agrees with the design's earlier ones, or why nobody can say."""

    says: Says
    design: str = ""
    sample: str = ""
    """Empty where nobody said which it was: it is then taken as the next one from the shop."""
    known_sample: bool = False
    """Whether earlier runs are of this sample as well."""
    earlier: Earlier | None = None
    parts: tuple[AgreementPart, ...] = ()
    air: FreshAir | None = None
    unknown: tuple[Unknown, ...] = ()
    """What nothing tells: the intervals are then lower bounds."""
    absent: str | None = None
    """Why nothing is said."""
    look_at: str = ""
    """Where it differs: what may be the cause, the likeliest first."""


@dataclass(frozen=True, slots=True)
class FreshFile:
    """A fresh file, reduced, and what was made of it."""

    run: str
    reduced: ReducedRun
    agreement: Agreement
    torque_at_top: float | None = None
    """[N m], in standard air: what the torque's zero is measured by."""
    of_rig: tuple[Finding, ...] = ()
    """Findings on the rig file."""
    kind_told: bool = True
    """False where the run's kind was read off the log: its name and the command did not tell it."""
    job: RunJob | None = None
    """What was read, to draw it."""
