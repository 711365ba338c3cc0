"""A quantity found on the way, with its uncertainty and where it came from."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Estimate"]


@dataclass(frozen=True, slots=True)
class Estimate:
    """A quantity found on the way (lag, inertia, zero), with where it came from."""

    value: float
    uncertainty: float
    """Standard uncertainty, same SI unit."""
    degrees_of_freedom: float
    origin: str
    """In words: 'own final coast', 'coast of run r03 of the same sample', 'stated in motors.csv', …"""
