"""What one run's vibration is made of: orders, resonances, thrust bands, a map, and the once-per-revolution vector."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from isothrust.records.recording import Floats

__all__ = [
    "FixedLine",
    "OffOrders",
    "OrderCurve",
    "SpectrumMap",
    "ThrustBand",
    "TurningVector",
    "Vibration",
]


@dataclass(frozen=True, slots=True)
class OrderCurve:
    """Amplitude of one order of rotation against speed."""

    order: int
    """Times a revolution [1]."""
    label: str
    """'1/rev', '2/rev', 'blade passing', '2 x blade passing', …"""
    speed: Floats
    """(m,) [rad/s]"""
    amplitude: Floats
    """Peak value, root-sum-square of the axes (m,) [m/s2]; zero where it is less than noise."""
    uncertainty: Floats
    """Standard uncertainty (m,) [m/s2]."""
    share: Floats
    """Of the mean square of all vibration in the band (m,) [1]."""
    axes: Floats
    """Amplitude of each axis (m, axes) [m/s2]."""


@dataclass(frozen=True, slots=True)
class FixedLine:
    """A frequency that stays where it is whatever the speed."""

    kind: Literal["resonance", "mains"]
    axis: str
    frequency: float
    """[Hz]"""
    damping: float | None
    """Of the critical [1]; None for mains, and where the line is narrower than can be seen."""
    prominence: float
    """Density over what lies about it [1]."""
    crossings: tuple[str, ...] = ()
    """Where an order meets it: '1/rev at 5580 rpm'."""
    share: float = 0.0
    """Greatest share of the mean square that an order has in a window of speed about its crossing [1]."""
    level: float = 0.0
    """RMS of a line of the mains [m/s2]; 0 for a resonance."""


@dataclass(frozen=True, slots=True)
class ThrustBand:
    """RMS over a third of the thrust that the run covers."""

    name: Literal["low", "middle", "high"]
    low: float
    """Least thrust [N]."""
    high: float
    """Greatest thrust [N]."""
    rms: float
    """Root-sum-square of the axes, mean square even over the thrust [m/s2]."""
    uncertainty: float
    """Standard uncertainty [m/s2]."""
    axes: Floats
    """RMS of each axis (axes,) [m/s2]."""


@dataclass(frozen=True, slots=True)
class SpectrumMap:
    """Density against speed and frequency, root-sum-square of the axes: what an order map is drawn from."""

    speed: Floats
    """(m,) [rad/s]"""
    frequency: Floats
    """(k,) [Hz]"""
    level: Floats
    """(m, k) [m/s2 per root Hz]"""


@dataclass(frozen=True, slots=True)
class TurningVector:
    """Once-per-revolution vibration against the mark, which balancing starts from."""

    speed: Floats
    """(m,) [rad/s]"""
    real: Floats
    """(m, axes) [m/s2]; the part Re(vector e^(i angle)) with the angle counted from the mark."""
    imaginary: Floats
    """(m, axes) [m/s2]"""
    uncertainty: Floats
    """Standard uncertainty of each part (m, axes) [m/s2]."""
    marked: bool
    """False: without a mark only the size of the vector means anything."""


@dataclass(frozen=True, slots=True)
class OffOrders:
    """Energy that belongs to no order: where it begins to grow faster than the air's own noise, blades may flutter."""

    speed: Floats
    """(m,) [rad/s]"""
    mean_square: Floats
    """(m,) [m2/s4]"""
    uncertainty: Floats
    """(m,) [m2/s4]"""
    onset: float | None
    """Speed at which it begins to grow [rad/s]; None where it does not."""
    u_onset: float | None
    """Standard uncertainty [rad/s]."""
    rise: float | None
    """Mean square at the top over what the growth below the onset leads to [1]."""
    why: str
    """In words: what was seen, or why nothing can be said."""


@dataclass(frozen=True, slots=True)
class Vibration:
    """One run's vibration; its mean square against speed stands among the curves, as 'vibration' and so on."""

    rate: float
    """Samples a second [Hz]."""
    low: float
    """Least frequency of the band [Hz]."""
    high: float
    """Greatest frequency of the band [Hz]."""
    axes: tuple[str, ...]
    window: float
    """Length of the frames that mean squares are taken over [s]."""
    clipped: tuple[int, ...]
    """Samples of each axis that stand at its limit."""
    orders: tuple[OrderCurve, ...] = ()
    lines: tuple[FixedLine, ...] = ()
    bands: tuple[ThrustBand, ...] = ()
    map: SpectrumMap | None = None
    turning: TurningVector | None = None
    off_orders: OffOrders | None = None
    without_orders: str | None = None
    """Why there are no orders."""
