"""One run to be simulated: who turns on what, in which air, by which schedule, with which faults."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from isothrust.virtual.air import TrueAir
from isothrust.virtual.drive import Drive
from isothrust.virtual.hearing import Voice
from isothrust.virtual.monotone import Floats
from isothrust.virtual.propeller import Factors, Propeller
from isothrust.virtual.room import Room
from isothrust.virtual.schedules import Schedule, ramp
from isothrust.virtual.shaking import Unbalance
from isothrust.virtual.stand import RigErrors, Stand

__all__ = ["Fault", "FaultKind", "Push", "RunPlan", "Zero"]

FaultKind = Literal[
    "dropout",
    "double-count",
    "half-count",
    "spike",
    "repeated-stamp",
    "backward-stamp",
    "truncated-line",
    "zero-step",
    "zero-drift",
    "blank",
    "stuck",
]


@dataclass(frozen=True, slots=True)
class Fault:
    """Something planted in a recording."""

    kind: FaultKind
    channel: str = ""
    """Which channel; dropouts and counts are the tachometer's unless said."""
    at: float = 0.5
    """Where the first one lies, as a part of the recording's length."""
    count: int = 1
    """How many samples, spread over what follows `at`; for `blank` and `stuck` how many in one stretch."""
    size: float = 0.0
    """Spike, zero step or drift [SI]; backward step [s]."""


@dataclass(frozen=True, slots=True)
class Push:
    """Something that leans on the bench for a while."""

    start: float
    """[s] from the first row."""
    length: float
    """[s]"""
    size: float
    """[SI]"""
    edge: float = 0.08
    """Time [s] in which it comes and goes."""

    def over(self, time: Floats) -> Floats:
        """Return its force at the times [s]."""
        since, left = time - self.start, self.start + self.length - time
        return np.asarray(self.size * np.clip(np.minimum(since, left) / self.edge, 0.0, 1.0), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Zero:
    """Zero of a force channel over the run [SI]."""

    start: float = 0.0
    drift: float = 0.0
    """Linear, from the first row to the last."""
    creep: float = 0.0
    """Exponential, from the start of the schedule: what it comes to."""
    creep_time: float = 4.0
    """[s]"""
    running: float = 0.0
    """There only while the rotor turns: no rest shows it."""
    pushes: tuple[Push, ...] = ()
    """Hands, tools and cables on the bench."""

    def over(self, time: Floats, omega: Floats) -> Floats:
        """Return the zero at the times [s] of a run."""
        span = float(time[-1] - time[0]) or 1.0
        past = np.maximum(time - time[0] - 2.0, 0.0)
        crept = self.creep * (1 - np.exp(-past / self.creep_time))
        turning = np.clip(omega / 100.0, 0.0, 1.0)
        total = self.start + self.drift * (time - time[0]) / span + crept + self.running * turning
        for push in self.pushes:
            total = total + push.over(time - time[0])
        return np.asarray(total, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class RunPlan:
    """Everything that decides a run but the noise."""

    name: str
    propeller: Propeller
    drive: Drive = field(default_factory=Drive)
    stand: Stand = field(default_factory=Stand)
    schedule: Schedule = field(default_factory=ramp)
    air: TrueAir = field(default_factory=TrueAir)
    room: Room | None = None
    """A room so small that the jet comes back; None for one that is large enough."""
    sample: str = "a"
    sample_factors: Factors = field(default_factory=Factors)
    mounting: str = "1"
    mounting_factors: Factors = field(default_factory=Factors)
    added_inertia: float = 0.0
    """What this sample's inertia is off the design's [kg m2]."""
    errors: RigErrors = field(default_factory=RigErrors)
    thrust_zero: Zero = field(default_factory=Zero)
    torque_zero: Zero = field(default_factory=Zero)
    current_zero: Zero = field(default_factory=Zero)
    unbalance: Unbalance = field(default_factory=Unbalance)
    voice: Voice = field(default_factory=Voice)
    """How the propeller sounds, where the stand has a microphone."""
    faults: tuple[Fault, ...] = ()
    date: str = "2026-03-01T10:00"
    note: str = ""

    @property
    def factors(self) -> Factors:
        """Sample and mounting together."""
        return self.sample_factors.times(self.mounting_factors)

    @property
    def inertia(self) -> float:
        """Everything that turns [kg m2]."""
        return self.propeller.inertia + self.added_inertia + self.drive.rotor_inertia

    @property
    def read_air(self) -> TrueAir:
        """The air as the tester reads it: what goes into runs.csv."""
        return self.errors.read_air(self.air)

    def zero(self, channel: str) -> Zero:
        """Zero of a channel."""
        zeros = {"thrust": self.thrust_zero, "torque": self.torque_zero, "current": self.current_zero}
        return zeros.get(channel, Zero())
