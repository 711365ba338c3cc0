"""A propeller on backwards: it pushes the same way, with its trailing edge ahead and its camber upside down."""

from __future__ import annotations

import math

from isothrust.virtual.propeller import Factors, Propeller

__all__ = ["on_backwards"]

_CAMBER = math.radians(3.5)
"""How far the angle of no lift lies below the chord."""
_LOSS = 1.15
"""Induced power over that of an even inflow."""
_DRAG = 2.0
"""Profile drag with the sharp edge ahead, over that the right way round."""
_REFERENCE = 14_000 / 60


def on_backwards(propeller: Propeller) -> Factors:
    """Return the factors on CT and CP of this propeller mounted back to front.

    A screw stays the same screw turned end for end, so the geometric pitch stays; the angle of no lift changes sign.
    Blades of even chord with the twist of a screw in an even inflow: CT = s a/2 (angle/3 - inflow/2), CT and CP by tip
    speed and disc area, the angle that at three quarters of the radius. What s a must be follows from the right way
    round; so does the part of CP that is profile drag.
    """
    ct = float(propeller.thrust_coefficient(_REFERENCE)) * 4 / math.pi**3
    cp = float(propeller.power_coefficient(_REFERENCE)) * 4 / math.pi**4
    pitch = math.atan(propeller.pitch / (0.75 * math.pi * propeller.diameter))
    inflow = math.sqrt(ct / 2)
    grip = 2 * ct / ((pitch + _CAMBER) / 3 - inflow / 2)
    # CT = 2 inflow^2 makes it a quadratic in the inflow
    root = math.sqrt((grip / 4) ** 2 + 8 * grip / 2 * (pitch - _CAMBER) / 3)
    turned = (root - grip / 4) / 4
    profile = cp - _LOSS * inflow * ct
    thrust = 2 * turned**2
    return Factors(thrust / ct, (_LOSS * turned * thrust + _DRAG * profile) / cp)
