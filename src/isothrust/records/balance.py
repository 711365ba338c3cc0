"""A balance: what to add to a rotor and where, and how well it is balanced as it stands."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Balance", "Trial", "UnbalancePart"]


@dataclass(frozen=True, slots=True)
class Trial:
    """A trial mass that was on the rotor during a run."""

    mass: float
    """[kg]"""
    radius: float
    """From the axis [m]."""
    angle: float
    """From the mark, in the direction of rotation [rad]."""


@dataclass(frozen=True, slots=True)
class UnbalancePart:
    """An unbalance with its angle."""

    size: float
    """Mass times radius [kg m]."""
    u_size: float
    angle: float
    """From the mark, in the direction of rotation [rad]."""
    u_angle: float


@dataclass(frozen=True, slots=True)
class Balance:
    """The balance of one sample as it was mounted."""

    design: str
    sample: str
    campaign: str
    mounting: str
    initial: str
    """Run without a trial mass."""
    trials: tuple[str, ...]
    marked: bool
    """False: found from amplitudes alone, with trial masses at three angles or more."""
    correction: UnbalancePart
    """To be added, the trial mass taken off."""
    radius: float
    """At which the trial mass sat [m]: the correction's mass is its size over this."""
    change: float
    """By how much the trial masses changed the vector, of itself [1]."""
    low: float
    """Least speed that counted [rad/s]."""
    high: float
    """Greatest speed that counted [rad/s]."""
    service_speed: float
    """That the grade holds at [rad/s]."""
    rotor_mass: float | None
    """[kg]; None where it is not known."""
    grade: float | None
    """Eccentricity times that speed, as it stands [mm/s]."""
    grade_name: str | None
    hub: UnbalancePart | None
    """What hub and motor have of it; None where no mounting was turned by half a revolution."""
    blade: UnbalancePart | None
    """What the propeller has of it, as first mounted."""
    notes: tuple[str, ...]

    @property
    def mass(self) -> float:
        """Correction mass at the trial's radius [kg]."""
        return self.correction.size / self.radius

    @property
    def u_mass(self) -> float:
        """Standard uncertainty of that [kg]."""
        return self.correction.u_size / self.radius
