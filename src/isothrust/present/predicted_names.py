"""Predicted figures by name: in words, and the unit that people see."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

from isothrust.quantities import parse_unit
from isothrust.quantities.unit import Unit

__all__ = ["PREDICTED", "Predicted"]


class Predicted(NamedTuple):
    """One figure."""

    words: str
    shown: str
    """Unit, as the parser reads it."""

    @property
    def unit(self) -> Unit:
        """The unit, ready to convert with."""
        return parse_unit(self.shown)

    @property
    def label(self) -> str:
        """The unit as a table writes it."""
        return "" if self.shown == "1" else self.shown


PREDICTED: Final[Mapping[str, Predicted]] = MappingProxyType(
    {
        "peak-thrust": Predicted("thrust at full throttle", "gf"),
        "peak-speed": Predicted("speed at full throttle", "rpm"),
        "peak-current": Predicted("current at full throttle, one rotor", "A"),
        "peak-electrical-power": Predicted("electrical power at full throttle, one rotor", "W"),
        "peak-shaft-power": Predicted("shaft power at full throttle, one rotor", "W"),
        "peak-voltage": Predicted("voltage at full throttle", "V"),
        "static-tip-mach": Predicted("static tip Mach number", "1"),
        "static-inflow-ratio": Predicted("static inflow ratio", "1"),
        "craft-peak-current": Predicted("current at full throttle, all rotors", "A"),
        "thrust-to-weight": Predicted("thrust to weight", "1"),
        "hover-speed": Predicted("speed in hover", "rpm"),
        "hover-duty": Predicted("duty in hover", "%"),
        "hover-throttle": Predicted("throttle in hover", "%"),
        "hover-current": Predicted("current in hover, one rotor", "A"),
        "hover-electrical-power": Predicted("electrical power in hover, one rotor", "W"),
        "craft-hover-current": Predicted("current in hover, all rotors", "A"),
        "craft-hover-power": Predicted("electrical power in hover, all rotors", "W"),
        "endurance": Predicted("endurance in hover", "min"),
        "hover-time-constant": Predicted("time constant of the rotor in hover", "ms"),
        "control-bandwidth": Predicted("control bandwidth in hover", "Hz"),
        "climb-speed": Predicted("climb, between", "m/s"),
        "level-flight-speed": Predicted("top speed in level flight, between", "m/s"),
        "torque-in-hand": Predicted("torque in hand", "%"),
        "speed-in-hand": Predicted("speed in hand", "%"),
        "greatest-power-speed": Predicted("speed of greatest shaft power", "rpm"),
        "next-size-gain": Predicted("thrust gained by the next size up", "%"),
        "strongest-kv": Predicted("KV of greatest thrust within the limits", "rpm/V"),
        "efficient-kv": Predicted("KV of least power in hover", "rpm/V"),
        "efficient-kv-with-reserve": Predicted("the same, with twice the thrust in reach", "rpm/V"),
    }
)
"""In the order in which tables show them."""
