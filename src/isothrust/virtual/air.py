"""Air of the simulated day, by formulas of its own: dry air and vapour with a second virial coefficient."""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = ["STANDARD_AIR", "TrueAir"]

_GAS_CONSTANT = 8.31446
_MOLAR_DRY = 28.9655e-3
_MOLAR_WATER = 18.0153e-3


@dataclass(frozen=True, slots=True)
class TrueAir:
    """The air as it really is; what the tester reads differs by the errors of the air sensors."""

    temperature: float = 293.15
    """[K]"""
    pressure: float = 101325.0
    """[Pa]"""
    humidity: float = 0.5
    """Relative humidity [1]."""

    @property
    def density(self) -> float:
        """Density [kg/m3] of the mixture.

        Vapour pressure by Magnus' formula with Sonntag's constants; second virial coefficient of air by Abbott's
        corresponding-states equation (Tc 132.5 K, pc 3.77 MPa, acentric factor 0.035).
        Within 100 ppm of CIPM-2007 in a room.
        """
        celsius = self.temperature - 273.15
        vapour = self.humidity * 611.2 * math.exp(17.62 * celsius / (243.12 + celsius))
        fraction = vapour / self.pressure
        molar = (1 - fraction) * _MOLAR_DRY + fraction * _MOLAR_WATER
        reduced = self.temperature / 132.5
        shape = 0.083 - 0.422 / math.pow(reduced, 1.6) + 0.035 * (0.139 - 0.172 / math.pow(reduced, 4.2))
        virial = shape * _GAS_CONSTANT * 132.5 / 3.77e6
        thermal = _GAS_CONSTANT * self.temperature
        return self.pressure * molar / (thermal * (1 + virial * self.pressure / thermal))

    @property
    def viscosity(self) -> float:
        """Dynamic viscosity [Pa s] by a power law of temperature."""
        return 1.789e-5 * math.pow(self.temperature / 288.15, 0.76)


STANDARD_AIR = TrueAir(temperature=288.15, pressure=101_280.2272, humidity=0.0)
"""Air of 15 degC with the standard density, 1.225 kg/m3: what figures are referred to."""
