"""Readings of a channel in the unit that people read, for the sentences of findings."""

from __future__ import annotations

from isothrust.quantities import CHANNELS, parse_unit

__all__ = ["said_reading"]


def said_reading(channel: str, value: float, *, digits: int = 4) -> str:
    """Say a reading [SI], or a difference of two, in the channel's shown unit.

    Examples
    --------
    >>> said_reading("thrust", 9.80665), said_reading("torque", 0.01234, digits=3)
    ('1000 gf', '0.0123 N m')
    """
    shown = CHANNELS[channel].shown
    scaled = value / parse_unit(shown).factor
    return f"{scaled:.0f} {shown}" if 10.0**digits <= abs(scaled) < 1e6 else f"{scaled:.{digits}g} {shown}"
