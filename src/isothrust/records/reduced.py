"""What reducing one run gives: curves, single figures, estimates on the way, findings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from isothrust.records.curve import Abscissa, Influence, Scope, SmoothCurve
from isothrust.records.estimate import Estimate
from isothrust.records.finding import Finding
from isothrust.records.motor import DrivePoints
from isothrust.records.response import Response
from isothrust.records.sound import Sound
from isothrust.records.vibration import Vibration

__all__ = ["Contribution", "Estimate", "Figure", "HoldPoint", "ReducedRun", "ZeroFit"]


@dataclass(frozen=True, slots=True)
class Contribution:
    """One line of a budget: the signed effect [unit of the figure, SI] of one standard uncertainty of a source."""

    source: str
    key: str
    scope: Scope
    contribution: float
    degrees_of_freedom: float


@dataclass(frozen=True, slots=True)
class ZeroFit:
    """Zero of one channel: a level before, one after, a straight line between them where both exist."""

    channel: str
    before: float | None
    after: float | None
    """Mean reading with the rotor stopped [SI]."""
    before_window: tuple[float, float] | None
    after_window: tuple[float, float] | None
    """Start and end [s]."""
    scatter: float
    """Standard deviation of the readings within the windows [SI]."""
    uncertainty: float
    """Standard uncertainty of the zero during the run [SI]: means, drift/sqrt(12), stated fixed part."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A single figure of a run (peak-thrust, rotor-inertia, …) with its budget, or the reason why there is none."""

    measurand: str
    value: float | None
    budget: tuple[Contribution, ...] = ()
    flags: tuple[str, ...] = ()
    absent: str | None = None


@dataclass(frozen=True, slots=True)
class HoldPoint:
    """Means over one settled hold, as recorded (steady), None where the channel is missing."""

    start: float
    end: float
    throttle: float | None
    speed: float | None
    thrust: float | None
    torque: float | None
    voltage: float | None
    current: float | None


@dataclass(frozen=True, slots=True)
class ReducedRun:
    """Everything later steps need of a run; stored in derived/ and read back unchanged."""

    run: str
    campaign: str
    design: str
    sample: str
    mounting: str
    kind: str
    rig: str
    date: str
    abscissa: Abscissa
    density: float | None
    """Of the day [kg/m3]; None where the air is unknown."""
    standard_density: float
    """[kg/m3] that electrical-power is referred to."""
    curves: Mapping[str, SmoothCurve]
    influences: tuple[Influence, ...]
    figures: tuple[Figure, ...]
    """peak-thrust, peak-electrical-power, peak-current, rotor-inertia, and of steps spin-up-rate and its like."""
    lags: Mapping[str, Estimate]
    """Channel -> delay relative to the speed channel [s] (to throttle or thrust where there is no speed)."""
    inertia: Estimate | None
    zeros: Mapping[str, ZeroFit]
    holds: tuple[HoldPoint, ...]
    findings: tuple[Finding, ...]
    flags: tuple[str, ...] = ()
    """'calibration-not-stated', 'air-from-book', 'electrical-as-recorded', …: shown with every figure of the run."""
    absent: Mapping[str, str] = field(default_factory=dict)
    """Curve name -> why it is missing: 'the rig has no torque channel'."""
    response: Response | None = None
    """Of a run of kind steps: how the rotor answered each of them."""
    added_inertia: float | None = None
    """Of a ring that turned with the propeller [kg m2], to check the torque scale; None: there was none."""
    inertia_wanted: bool = False
    """True where the run had no inertia of its own and none was handed in: the inertial torque is still inside."""
    method_version: int = 0
    vibration: Vibration | None = None
    """What the vibration is made of; None where the run has no accelerometer that could be used."""
    drive: DrivePoints | None = None
    """What motor and controller are found from; None where the run has no speed, or neither torque nor current."""
    sound: Sound | None = None
    """None where the run has no recording of sound, or one that gives no level: `absent` then says why."""
