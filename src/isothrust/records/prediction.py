"""What is predicted of a propeller on a motor and a craft, and how the two suit each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from isothrust.records.motor import MotorModel
from isothrust.records.recording import Floats
from isothrust.records.reduced import Contribution
from isothrust.records.result import Interval

__all__ = ["Craft", "Estimated", "Match", "Place", "Power", "Prediction", "WindingSweep"]


@dataclass(frozen=True, slots=True)
class Place:
    """The air that a craft flies in."""

    density: float
    """[kg/m3]"""
    viscosity: float
    """[Pa s]"""
    speed_of_sound: float
    """[m/s]"""
    temperature: float
    """[K]"""
    words: str
    """Where it comes from: 'standard air of the book', '1500 m, 30 degC', …"""


@dataclass(frozen=True, slots=True)
class Power:
    """What feeds one controller."""

    voltage: float
    """Without load, at full charge [V]."""
    resistance: float = 0.0
    """Of battery or supply, shared by all rotors [ohm]."""
    empty_voltage: float | None = None
    """Without load, where the usable energy ends [V]; None: it does not fall."""
    usable_energy: float | None = None
    """[J]"""
    current_limit: float | None = None
    """Into one controller [A]."""
    words: str = ""


@dataclass(frozen=True, slots=True)
class Craft:
    """What the rotors carry."""

    mass: float
    """[kg]"""
    rotors: int
    drag_area: float | None = None
    """[m2]"""


@dataclass(frozen=True, slots=True)
class Estimated:
    """One predicted figure, SI; without a value it is either absent, with the reason, or known by bounds alone."""

    name: str
    value: float | None
    standard_uncertainty: float | None = None
    interval: Interval | None = None
    """95 % coverage; of a figure without a value: bounds between which it lies."""
    degrees_of_freedom: float | None = None
    budget: tuple[Contribution, ...] = ()
    flags: tuple[str, ...] = ()
    absent: str | None = None


@dataclass(frozen=True, slots=True)
class Prediction:
    """What one design is predicted to do."""

    design: str
    campaign: str
    motor: MotorModel
    power: Power
    place: Place
    craft: Craft | None
    figures: tuple[Estimated, ...]
    flags: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    def figure(self, name: str) -> Estimated:
        """Return a figure by name."""
        return next(figure for figure in self.figures if figure.name == name)


@dataclass(frozen=True, slots=True)
class WindingSweep:
    """Thrust ceiling over KV of the same size of motor."""

    kv: Floats
    """(g,) [rad/s/V]"""
    thrust: Floats
    """(g,) [N]"""
    uncertainty: Floats
    """Standard uncertainty (g,) [N]."""
    unlimited: Floats
    """Were there no limit of current (g,) [N]."""
    beyond: float
    """KV above which speeds are beyond those measured [rad/s/V]; infinite where none is."""


@dataclass(frozen=True, slots=True)
class Match:
    """How a design and a motor suit each other."""

    design: str
    campaign: str
    motor: MotorModel
    power: Power
    bound: str | None
    """'torque' or 'speed'; None where nothing can be said."""
    figures: tuple[Estimated, ...]
    sensitivities: Mapping[str, float] = field(default_factory=dict)
    """'kv', 'resistance', 'voltage', 'current-limit' -> change of the thrust ceiling over that of it, both relative."""
    sweep: WindingSweep | None = None
    sentences: tuple[str, ...] = ()
    flags: tuple[str, ...] = ()
    absent: str | None = None
    """Why there is no match at all."""

    def figure(self, name: str) -> Estimated:
        """Return a figure by name."""
        return next(figure for figure in self.figures if figure.name == name)
