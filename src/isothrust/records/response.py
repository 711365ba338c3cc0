"""How a rotor answered the steps of a run: step by step, and the repeats of one kind of step together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from isothrust.records.estimate import Estimate
from isothrust.records.recording import Floats

__all__ = ["Direction", "Followed", "Response", "Step", "StepKind"]

Direction = Literal["up", "down"]
Followed = Literal["speed", "thrust"]


@dataclass(frozen=True, slots=True)
class Step:
    """One change from one level to another. Levels and rate are of what was followed: rad/s, or N without speed."""

    start: float
    """Of the command, or of the response where the log has no throttle [s]."""
    end: float
    """When the next change began, or the log ended [s]."""
    direction: Direction
    from_throttle: float | None
    to_throttle: float | None
    from_level: float
    to_level: float
    used: bool
    why: str
    """Why it was left out; empty where it counts."""
    rate: float | None = None
    """Mean from 10 to 90 % of the way, signed [unit of the levels per s]."""
    across: float | None = None
    """Time from 10 to 90 % [s]."""
    response: float | None = None
    """Time from the command to 63 % [s]; None without throttle."""


@dataclass(frozen=True, slots=True)
class StepKind:
    """The repeats of a step from one level to another; times are means over those that count."""

    direction: Direction
    from_throttle: float | None
    to_throttle: float | None
    from_level: float
    to_level: float
    count: int
    used: int
    method: Literal["samples", "model", "none"]
    """Read between samples, or from a model that was fitted to all repeats together."""
    absent: str
    """Why there are no times; empty where there are."""
    rate: float | None
    across: float | None
    """From 10 to 90 % [s]."""
    dead: float | None
    """From the command to 5 % [s]."""
    response: float | None
    """From the command to 63 % [s]."""
    settling: float | None
    """From the command until it stays within 2 % of the step [s]."""
    overshoot: float | None
    """In proportion to the step."""
    u_across: float | None
    """Standard uncertainty of `across` that the run itself leaves [s]."""
    lag: float | None
    """Time constant near the level where it settles, by the model [s]."""
    u_lag: float | None
    time: Floats
    """Of the mean course, from the command [s] (n,)."""
    share: Floats
    """The mean course, in proportion to the step (n,)."""


@dataclass(frozen=True, slots=True)
class Response:
    """All steps of a run."""

    followed: Followed
    steps: tuple[Step, ...]
    kinds: tuple[StepKind, ...]
    """The one that figures are taken from first, up before down."""
    interval: float
    """Median sampling interval [s]."""
    window: float
    """Over which the sensor takes its mean, as it was allowed for [s]."""
    window_known: bool
    """True where the rig states it."""
    falls: Literal["braking", "coasting", "not known"] = "not known"
    """What the controller does on a step down."""
    falls_because: str = ""
    inertias: Mapping[str, Estimate] = field(default_factory=dict)
    """'steps up', 'steps down', 'coast' -> rotor inertia from those transients alone [kg m2]."""
    friction: Estimate | None = None
    """Bearing and iron drag in the coast: what the cell reads with the phases off [N m]."""
    drive_damping: Estimate | None = None
    """How much torque the drive loses with speed at a fixed throttle [N m s]."""
