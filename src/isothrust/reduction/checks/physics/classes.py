"""What coefficients propellers of a class have: static, by blade count and pitch over diameter."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

__all__ = ["ClassFigures", "class_figures"]

# Least squares on logarithms over the 205 static sweeps of the University of Illinois tables, volumes 1 to 3 (Brandt,
# Deters, Ananda, Dantsker, Selig), the fastest third of each sweep; two to four blades, 1.2 to 19 inch, pitch over
# diameter 0.27 to 1.3. The propellers scatter about the lines with standard deviations of 18 % (CT), 22 % (CP) and
# 18 % (figure of merit). Terms: constant, ln(blades/2), ln(pitch/diameter), the square of the last.
_THRUST: Final = (-1.979, 0.684, 0.588, 0.140)
_POWER: Final = (-2.294, 0.887, 1.694, 0.458)
_MERIT: Final = (-0.901, 0.140, -0.812, -0.248)

_PITCHES: Final = (0.30, 1.30)
"""Pitch over diameter that the tables hold: beyond, the nearest of them stands in."""
_USUAL_PITCH: Final = 0.65
"""Where the pitch is not known [1]."""


@dataclass(frozen=True, slots=True)
class ClassFigures:
    """What is usual for a class, at the middle."""

    thrust_coefficient: float
    power_coefficient: float
    merit: float
    """Figure of merit [1]."""
    ratio: float | None
    """Pitch over diameter; None where the pitch is not known."""
    blades: int

    @property
    def said(self) -> str:
        """The class in words."""
        if self.ratio is None:
            return f"{self.blades} blades"
        return f"{self.blades} blades of pitch {self.ratio:.2f} diameters"


def class_figures(blades: int | None, pitch: float | None, diameter: float) -> ClassFigures:
    """Return what is usual for propellers of this blade count and pitch; two blades where nobody says.

    Parameters
    ----------
    blades
        Number of blades; None where it is not known.
    pitch, diameter
        [m]; a pitch of None is taken as the middle of what is sold.
    """
    count = 2 if blades is None or blades < 1 else blades
    ratio = None if pitch is None or pitch <= 0.0 else pitch / diameter
    low, high = _PITCHES
    log_pitch = math.log(min(max(_USUAL_PITCH if ratio is None else ratio, low), high))
    terms = (1.0, math.log(count / 2.0), log_pitch, log_pitch**2)
    thrust, power, merit = (
        math.exp(sum(a * b for a, b in zip(line, terms, strict=True))) for line in (_THRUST, _POWER, _MERIT)
    )
    return ClassFigures(thrust, power, merit, ratio, count)
