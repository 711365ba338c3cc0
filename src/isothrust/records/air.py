"""Air of a run: readings, their standard uncertainties, and where they came from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Air", "AirReading"]

AirOrigin = Literal["run", "campaign", "book"]


@dataclass(frozen=True, slots=True)
class AirReading:
    """One reading of the air."""

    value: float
    """Temperature [K], pressure [Pa] or relative humidity [1]."""
    uncertainty: float | None
    """Standard uncertainty in the same unit; None where nobody stated it."""
    origin: AirOrigin
    """Which table it came from: a reading for the run, the campaign's, or the book's default."""


@dataclass(frozen=True, slots=True)
class Air:
    """Temperature, pressure and humidity of one run; None where nothing is known (then the run has no density)."""

    temperature: AirReading
    pressure: AirReading
    humidity: AirReading
