"""What the book's tables say: designs, samples, motors, campaigns and runs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from isothrust.records.air import Air
from isothrust.records.balance import Trial
from isothrust.records.finding import Finding
from isothrust.records.rig import Rig

__all__ = ["Book", "Campaign", "Decision", "Design", "Kind", "Motor", "Run", "Sample"]

Kind = Literal["ramp", "holds", "steps", "coast", "zero"]


@dataclass(frozen=True, slots=True)
class Design:
    """A propeller as sold."""

    name: str
    maker: str = ""
    diameter: float | None = None
    """Nominal diameter [m]."""
    pitch: float | None = None
    """Nominal pitch [m]."""
    blades: int | None = None
    mass: float | None = None
    """[kg]"""
    max_speed: float | None = None
    """The maker's limit [rad/s]."""
    note: str = ""
    extra: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Sample:
    """One physical propeller."""

    design: str
    name: str
    mass: float | None = None
    note: str = ""
    extra: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Motor:
    """A motor by its data sheet or by measurement."""

    name: str
    kv: float | None = None
    """Speed constant [rad/s/V]."""
    resistance: float | None = None
    """[ohm]"""
    no_load_current: float | None = None
    """[A]"""
    pole_pairs: float | None = None
    rotor_inertia: float | None = None
    """[kg m2]"""
    max_current: float | None = None
    rotor_mass: float | None = None
    """Of bell, magnets and adapter [kg]."""
    extra: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Run:
    """One row of runs.csv, with the air it was run in."""

    name: str
    campaign: str
    design: str
    sample: str
    mounting: str
    kind: Kind
    files: Mapping[str, str]
    """'log', 'vibration', 'sound' -> path relative to the campaign's raw/ folder."""
    date: str
    """ISO 8601, or empty."""
    air: Air | None
    """None where neither run, campaign nor book says (then no density, no coefficients)."""
    note: str = ""
    line: int | None = None
    """Line in runs.csv."""
    added_inertia: float | None = None
    """Of a ring put on the hub to check the torque scale [kg m2]; None: the propeller turns alone."""
    trial: Trial | None = None
    """A trial mass that was on the rotor, for balancing."""
    turned: bool = False
    """True where the propeller was mounted at 180 degrees to its usual place on the hub."""
    extra: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Campaign:
    """A set of runs on one rig, meant to be compared."""

    name: str
    rig: Rig
    """With the campaign's own motor and supply voltage already put in: the campaign wins over the rig file."""
    motor: Motor | None
    runs: tuple[Run, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Decision:
    """One line of decisions.jsonl."""

    run: str
    campaign: str
    action: str
    """'accept', 'leave-out', or 'withdraw': what was decided on the run before holds no longer."""
    because: str
    who: str
    when: str
    """ISO 8601, date and time of day."""
    codes: tuple[str, ...] | None = None
    """Of an acceptance: the fails that it covers; None where the line names none, and covers whatever is found."""


@dataclass(frozen=True, slots=True)
class Book:
    """The whole book, read and checked."""

    root: str
    title: str
    owner: str
    standard_density: float
    """[kg/m3]"""
    comparison_thrusts: tuple[float, ...]
    """[N]"""
    comparison_speeds: tuple[float, ...]
    """[rad/s]"""
    class_edges: tuple[float, ...]
    """Edges of the nominal diameter bands [m], rising."""
    designs: Mapping[str, Design]
    samples: Mapping[tuple[str, str], Sample]
    motors: Mapping[str, Motor]
    campaigns: Mapping[str, Campaign]
    decisions: tuple[Decision, ...] = ()
    findings: tuple[Finding, ...] = ()
    """Warnings of the tables themselves: unknown keys, a campaign that differs from its rig, …"""
