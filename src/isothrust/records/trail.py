"""The trail of a figure: everything on the way from the recordings to a result, for whoever wants to follow it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from isothrust.records.air import Air
from isothrust.records.book import Decision, Design, Motor
from isothrust.records.curve import Abscissa, CurveName
from isothrust.records.reduced import Contribution, Figure, ReducedRun
from isothrust.records.result import Interval, Result
from isothrust.records.rig import Rig

__all__ = [
    "BudgetStep",
    "CurvePiece",
    "Explanation",
    "FigureTrail",
    "FileFacts",
    "GroupMean",
    "LeftOut",
    "PoolTrail",
    "PooledRun",
    "RunFacts",
    "RunWorking",
    "ScatterFacts",
    "Statement",
    "Step",
    "ZeroLevel",
]


@dataclass(frozen=True, slots=True)
class FileFacts:
    """One raw file of a run, and how it was read."""

    kind: str
    """'log', 'vibration' or 'sound'."""
    file: str
    """Path from the book's folder."""
    sha256: str
    """Of the file as it lies there now; empty where it is not there."""
    first_sha256: str
    """Of the file as it was first seen; empty where nobody wrote it down."""
    rows: int | None
    """Data rows that were read; None where it was not read."""
    dialect: str
    """How it was read, or why it was not."""


@dataclass(frozen=True, slots=True)
class ZeroLevel:
    """What a channel reads in one spell with the motor off and the rotor still."""

    start: float
    end: float
    """[s]"""
    level: float
    """Mean [SI]."""
    error: float
    """Standard error of the mean [SI], from eight batches where there are readings enough."""
    readings: int
    """How many counted."""
    left_out: int
    """Readings far from the median, which did not."""


@dataclass(frozen=True, slots=True)
class RunFacts:
    """What is known of one run beside its figures."""

    reduced: ReducedRun
    air: Air | None
    note: str
    files: tuple[FileFacts, ...]
    zeros: Mapping[str, tuple[ZeroLevel, ...]]
    """Channel -> its levels in the order of time; none where there is no such spell."""
    channels: tuple[str, ...]
    """What was read of the recordings."""
    decision: Decision | None = None
    """The one that holds on the run."""


@dataclass(frozen=True, slots=True)
class CurvePiece:
    """One fitted curve at one operating point: y = a0 + a1 t + a2 t^2 + a3 t^3, t = (x - left) / width."""

    curve: CurveName
    abscissa: Abscissa
    count: int
    """Coefficients of the whole curve."""
    low: float
    high: float
    """Between which the run measured [unit of x]."""
    left: float
    width: float
    x: float
    t: float
    coefficients: tuple[float, float, float, float]
    value: float
    u_noise: float
    """Standard uncertainty of the value that the run's own noise leaves."""
    sensitivity: float
    """Change of the figure [SI] per change of the value; at a thrust, by way of the speed that it needs as well."""
    residual_sd: float
    correlation: float
    degrees_of_freedom: float


@dataclass(frozen=True, slots=True)
class Step:
    """One line of arithmetic."""

    symbol: str
    formula: str
    """With operands in braces: '{rho0} * {y_T} * {omega}^2'."""
    operands: tuple[tuple[str, float], ...]
    """Name -> value [SI], as they stand in the formula."""
    value: float
    unit: str
    """SI unit."""


@dataclass(frozen=True, slots=True)
class BudgetStep:
    """One line of a run's budget, and what it does to each curve on the way."""

    line: Contribution
    relative: Mapping[str, float]
    """Curve -> change of its value in proportion, for one standard uncertainty; without sign for noise."""


@dataclass(frozen=True, slots=True)
class RunWorking:
    """How one run's figure comes about."""

    run: str
    figure: Figure
    pieces: tuple[CurvePiece, ...] = ()
    steps: tuple[Step, ...] = ()
    budget: tuple[BudgetStep, ...] = ()


@dataclass(frozen=True, slots=True)
class PooledRun:
    """One run in a mean."""

    run: str
    sample: str
    mounting: str
    value: float
    own_uncertainty: float
    """Of what scatters this run alone: its lines of scope run."""
    weight_within: float
    """In its mounting."""
    weight: float
    """In the whole."""


@dataclass(frozen=True, slots=True)
class GroupMean:
    """A mounting's mean of runs, or a sample's mean of mountings."""

    label: str
    value: float
    uncertainty_below: float
    """What its members leave, were there no scatter at this level."""
    uncertainty: float
    """With the scatter of this level."""
    weight_within: float
    """In the level above."""
    weight: float
    """In the whole."""


@dataclass(frozen=True, slots=True)
class ScatterFacts:
    """One component of scatter as it was used."""

    what: str
    """'mounting' or 'sample'."""
    relative: float | None
    """In proportion to the plain mean of the runs; None where nothing in the campaign tells it."""
    standard_deviation: float
    """[SI]; nil where unknown."""
    degrees_of_freedom: float
    source: str
    borrowed: bool
    stands_apart: bool


@dataclass(frozen=True, slots=True)
class PoolTrail:
    """From the runs' figures to their mean."""

    runs: tuple[PooledRun, ...]
    mountings: tuple[GroupMean, ...]
    samples: tuple[GroupMean, ...]
    plain_mean: float
    mounting: ScatterFacts
    sample: ScatterFacts


@dataclass(frozen=True, slots=True)
class Statement:
    """One of the three things that can be said of a figure."""

    name: str
    """'as tested', 'of the design' or 'as sold'."""
    added: Sequence[Contribution]
    """Lines that come to the budget as tested, key by key, with their signs."""
    uncertainty: float
    degrees_of_freedom: float
    coverage_factor: float
    interval: Interval


@dataclass(frozen=True, slots=True)
class FigureTrail:
    """One question, its result and how it comes about."""

    result: Result
    pool: PoolTrail | None
    """None where the figure is absent."""
    statements: tuple[Statement, ...]
    workings: tuple[RunWorking, ...]
    """One a run that counts; of an absent figure, those with their reasons."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A run that does not count, and why."""

    run: str
    reason: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """Figures of one design (or one run) in one campaign, from the result back to the files."""

    subject: str
    """The design, or the run as campaign/run."""
    campaign: str
    design: Design
    rig: Rig
    motor: Motor | None
    standard_density: float
    slipstream: float | None
    """Factor by which thrust was raised for the stand in the slipstream; None where the rig does not say."""
    trails: tuple[FigureTrail, ...]
    runs: tuple[RunFacts, ...]
    """Runs that any of the figures rests on, or that were asked for by name."""
    left_out: tuple[LeftOut, ...] = field(default=())
