"""Every measurand once: what is asked for, the condition at which it holds, and which way is better."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from isothrust.quantities.dimension import DIMENSIONLESS
from isothrust.quantities.grammar import read_unit
from isothrust.quantities.unit import Unit

__all__ = ["MEASURANDS", "OF_HEARING", "OF_STEPS", "Better", "ConditionKind", "Measurand"]

ConditionKind = Literal["speed", "thrust", "both"]
Better = Literal["more", "less"]


OF_HEARING: Final = ("dB", "sone", "acum")
"""Units of levels and sensations, which convert to nothing else."""


@dataclass(frozen=True, slots=True)
class Measurand:
    """A quantity that is asked of a propeller."""

    name: str
    si: str
    """SI unit (or 'dB', a level)."""
    shown: str
    """Unit that people see, as the parser reads it (or 'dB')."""
    symbol: str
    condition: ConditionKind | None
    """Asked at a speed, at a thrust, at either, or of a whole run or sample."""
    better: Better | None
    """Which way is better at that condition; None where it depends on what is wanted."""
    description: str

    @property
    def shown_unit(self) -> Unit:
        """The unit shown, ready to convert with; what is heard is stored as it is shown."""
        if self.shown in OF_HEARING:
            return Unit(self.shown, 1.0, 0.0, DIMENSIONLESS)
        return read_unit(self.shown)

    @property
    def label(self) -> str:
        """The unit as a table's head writes it: acceleration in standard gravities is `g` to everybody."""
        return "g" if self.shown == "gn" else self.shown


def _by_name(*measurands: Measurand) -> Mapping[str, Measurand]:
    return MappingProxyType({measurand.name: measurand for measurand in measurands})


_AT_SPEED: Final = (
    Measurand("thrust", "N", "gf", "T", "speed", "more", "thrust in standard air"),
    Measurand("thrust-coefficient", "1", "1", "C_T", "speed", None, "T/(rho n^2 D^4), n in rev/s"),
    Measurand("power-coefficient", "1", "1", "C_P", "speed", None, "P/(rho n^3 D^5), n in rev/s; 2 pi C_Q"),
    Measurand("tip-mach", "1", "1", "M_tip", "speed", "less", "tip speed over the speed of sound in standard air"),
)

_AT_EITHER: Final = (
    Measurand("torque", "N m", "N m", "Q", "both", "less", "aerodynamic torque in standard air, inertial part removed"),
    Measurand("shaft-power", "W", "W", "P", "both", "less", "aerodynamic torque times speed"),
    Measurand("figure-of-merit", "1", "1", "FM", "both", "more", "ideal induced power over shaft power in hover"),
    Measurand("inflow-ratio", "1", "1", "λ", "both", None, "ideal induced over tip speed; testers' advance ratio"),
)

_AT_THRUST: Final = (
    Measurand("speed", "rad/s", "rpm", "ω", "thrust", None, "speed needed in standard air"),
    Measurand("electrical-power", "W", "W", "P_el", "thrust", "less", "power into the controller in the steady state"),
    Measurand("shaft-efficiency", "N/W", "gf/W", "T/P", "thrust", "more", "thrust per mechanical power"),
    Measurand("electrical-efficiency", "N/W", "gf/W", "T/P_el", "thrust", "more", "thrust per electrical power"),
    Measurand("drive-efficiency", "1", "%", "η", "thrust", "more", "shaft power over electrical power"),
    Measurand("current", "A", "A", "I", "thrust", "less", "supply current in the steady state"),
    Measurand("throttle", "1", "%", "δ", "thrust", None, "throttle needed on this motor and supply"),
    Measurand("vibration", "m/s2", "gn", "a_rms", "thrust", "less", "band-limited rms acceleration, air of the day"),
    Measurand("sound-level", "dB", "dB", "L_A", "thrust", "less", "weighted A at the stated distance"),
    Measurand("c-weighted-level", "dB", "dB", "L_C", "thrust", "less", "the same weighted C: low frequencies count"),
    Measurand("blade-passing-level", "dB", "dB", "L_B", "thrust", "less", "level of the blades' first harmonic"),
    Measurand("tonal-balance", "dB", "dB", "ΔL_W", "thrust", "less", "whine over rush: energy of tones over the rest"),
    Measurand("tone-to-noise-ratio", "dB", "dB", "ΔL_T", "thrust", "less", "the loudest tone over the noise about it"),
    Measurand("prominence-ratio", "dB", "dB", "ΔL_P", "thrust", "less", "the loudest tone's band over its neighbours"),
    Measurand("loudness", "sone", "sone", "N", "thrust", "less", "how loud it is to an ear, Zwicker's method"),
    Measurand("sharpness", "acum", "acum", "S", "thrust", "less", "how far the loudness lies at high frequencies"),
)

_OF_STEPS: Final = (
    Measurand("spin-up-rate", "rad/s2", "rpm/s", "a_up", None, "more", "mean from 10 to 90 % of a step up"),
    Measurand("spin-down-rate", "rad/s2", "rpm/s", "a_dn", None, "more", "mean from 90 to 10 % of a step down"),
    Measurand("rise-time", "s", "ms", "t_r", None, "less", "from 10 to 90 % of a step up in speed"),
    Measurand("fall-time", "s", "ms", "t_f", None, "less", "from 90 to 10 % of a step down in speed"),
    Measurand("response-time", "s", "ms", "t_63", None, "less", "from the command to 63 % of a step up in speed"),
    Measurand("response-time-down", "s", "ms", "t_63d", None, "less", "from the command to 63 % of a step down"),
    Measurand("dead-time", "s", "ms", "t_d", None, "less", "from the command to 5 % of a step up in speed"),
    Measurand("dead-time-down", "s", "ms", "t_dd", None, "less", "from the command to 5 % of a step down in speed"),
    Measurand("settling-time", "s", "ms", "t_s", None, "less", "from the command until a step up stays within 2 %"),
    Measurand("settling-time-down", "s", "ms", "t_sd", None, "less", "the same of a step down in speed"),
    Measurand("overshoot", "1", "%", "o_up", None, "less", "how far a step up goes beyond the level it settles at"),
    Measurand("overshoot-down", "1", "%", "o_dn", None, "less", "how far a step down goes beyond its level"),
    Measurand("thrust-step-time", "s", "ms", "t_T", None, "less", "10 to 90 % of a step of 25 to 75 % of a thrust"),
    Measurand("thrust-rise-rate", "N/s", "gf/s", "dT/dt", None, "more", "mean from 10 to 90 % of a step up"),
)

_OF_A_RUN: Final = (
    Measurand("peak-thrust", "N", "gf", "T_max", None, "more", "settled thrust at the greatest command"),
    Measurand("peak-electrical-power", "W", "W", "P_max", None, None, "settled power at the greatest command"),
    Measurand("peak-current", "A", "A", "I_max", None, "less", "settled current at the greatest command"),
    Measurand("rotor-inertia", "kg m2", "g cm2", "J", None, "less", "of all that turns: propeller, adapter, bell"),
    Measurand("propeller-inertia", "kg m2", "g cm2", "J_p", None, "less", "rotor inertia less the motor's own rotor"),
    *_OF_STEPS,
    Measurand("flutter-onset", "rad/s", "rpm", "ω_fl", None, "more", "speed at which the growth of flutter begins"),
    Measurand("repeatability", "1", "%", "s_r", None, "less", "standard deviation from one mounting to the next"),
)

MEASURANDS: Final = _by_name(*_AT_SPEED, *_AT_EITHER, *_AT_THRUST, *_OF_A_RUN)
"""Every measurand by name, in the order in which results list them."""

OF_STEPS: Final = tuple(measurand.name for measurand in _OF_STEPS)
"""Measurands that only a run of kind steps gives, as recorded in the air of the day."""
