"""What the air does at a blade's section."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats

__all__ = ["blade_reynolds_number"]


def blade_reynolds_number(
    density: ArrayLike,
    viscosity: ArrayLike,
    n: ArrayLike,
    diameter: ArrayLike,
    chord: ArrayLike,
    *,
    station: ArrayLike = 0.75,
) -> Floats:
    """Return the Reynolds number of a blade's chord, by the speed of rotation alone.

    Parameters
    ----------
    density
        Air density, any shape [kg/m3].
    viscosity
        Dynamic viscosity, broadcastable [Pa s].
    n
        Speed of rotation, broadcastable [rev/s].
    diameter
        Broadcastable [m].
    chord
        At the station, broadcastable [m].
    station
        Fraction of the radius, broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    [Deters2014] equation (6), at 75 % of the radius.

    Examples
    --------
    >>> f"{blade_reynolds_number(1.225, 1.78938e-5, 100.0, 0.254, 0.02):.0f}"
    '81942'
    """
    speed = floats(station) * np.pi * floats(n) * floats(diameter)
    return floats(floats(density) * speed * floats(chord) / floats(viscosity))
