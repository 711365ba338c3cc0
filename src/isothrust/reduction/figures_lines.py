"""The formulas of figures line by line, as somebody with a calculator writes them down.

`figures_formulas` is what results are computed with; these lines say the same once more, in the order of a hand
calculation. `figures_working` holds the last line to the figure.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from isothrust.records.trail import Step

__all__ = ["AT_ROOT_THRUST_LINES", "AT_SPEED_LINES", "HEARD_SYMBOLS", "LAST_LINE", "CalculationLine", "steps_to"]

Values = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class CalculationLine:
    """One line: what it gives, from what stands in braces."""

    formula: str
    value: Callable[[Values], float]
    unit: str

    @property
    def operands(self) -> tuple[str, ...]:
        """Names in the order in which they stand in the formula, each once."""
        return tuple(dict.fromkeys(re.findall(r"\{(\w+)\}", self.formula)))


HEARD_SYMBOLS: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        "sound-level": ("L_A", "dB"),
        "c-weighted-level": ("L_C", "dB"),
        "blade-passing-level": ("L_B", "dB"),
        "tonal-balance": ("L_W", "dB"),
        "tone-to-noise-ratio": ("L_T", "dB"),
        "prominence-ratio": ("L_P", "dB"),
        "loudness": ("N", "sone"),
        "sharpness": ("S", "acum"),
    }
)
"""Figures of sound that are curves themselves -> symbol and unit."""


def _as_it_is(curve: str, unit: str) -> CalculationLine:
    """Return the line of a figure that is the curve's own value."""
    return CalculationLine(f"{{{curve}}}", lambda v: v[curve], unit)


_ELECTRIC: Final[Mapping[str, CalculationLine]] = MappingProxyType(
    {
        **{symbol: _as_it_is(f"y_{symbol}", unit) for symbol, unit in HEARD_SYMBOLS.values()},
        "I": CalculationLine("{y_I} * {x}^2", lambda v: v["y_I"] * v["x"] ** 2, "A"),
        "delta": CalculationLine("{y_D}", lambda v: v["y_D"], "1"),
        "T_per_P_el": CalculationLine("{T} / {P_el}", lambda v: v["T"] / v["P_el"], "N/W"),
    }
)

AT_ROOT_THRUST_LINES: Final[Mapping[str, CalculationLine]] = MappingProxyType(
    {
        **_ELECTRIC,
        "a": CalculationLine("exp({y_a} / 2) * {x}^2", lambda v: math.exp(v["y_a"] / 2.0) * v["x"] ** 2, "m/s2"),
        "x": CalculationLine("sqrt({T})", lambda v: math.sqrt(v["T"]), "N^0.5"),
        "P_el": CalculationLine("{y_P} * {x}^3", lambda v: v["y_P"] * v["x"] ** 3, "W"),
    }
)
"""Where a run has no speed; T is the thrust asked for."""

AT_SPEED_LINES: Final[Mapping[str, CalculationLine]] = MappingProxyType(
    {
        **_ELECTRIC,
        "a": CalculationLine(
            "exp({y_a} / 2) * {omega}^2", lambda v: math.exp(v["y_a"] / 2.0) * v["omega"] ** 2, "m/s2"
        ),
        "I": CalculationLine("{y_I} * {omega}^2", lambda v: v["y_I"] * v["omega"] ** 2, "A"),
        "T": CalculationLine("{rho0} * {y_T} * {omega}^2", lambda v: v["rho0"] * v["y_T"] * v["omega"] ** 2, "N"),
        "T_day": CalculationLine("{rho} * {y_T} * {omega}^2", lambda v: v["rho"] * v["y_T"] * v["omega"] ** 2, "N"),
        "Q": CalculationLine("{rho0} * {y_Q} * {omega}^2", lambda v: v["rho0"] * v["y_Q"] * v["omega"] ** 2, "N m"),
        "P": CalculationLine("{Q} * {omega}", lambda v: v["Q"] * v["omega"], "W"),
        "P_el": CalculationLine("{rho0} * {y_P} * {omega}^3", lambda v: v["rho0"] * v["y_P"] * v["omega"] ** 3, "W"),
        "T_per_P": CalculationLine("{T} / {P}", lambda v: v["T"] / v["P"], "N/W"),
        "eta": CalculationLine("{P} / {P_el}", lambda v: v["P"] / v["P_el"], "1"),
        "n": CalculationLine("{omega} / (2 * pi)", lambda v: v["omega"] / (2.0 * math.pi), "1/s"),
        "A": CalculationLine("pi * {D}^2 / 4", lambda v: math.pi * v["D"] ** 2 / 4.0, "m2"),
        "v": CalculationLine(
            "sqrt({T} / (2 * {rho0} * {A}))", lambda v: math.sqrt(v["T"] / (2.0 * v["rho0"] * v["A"])), "m/s"
        ),
        "C_T": CalculationLine(
            "{T} / ({rho0} * {n}^2 * {D}^4)", lambda v: v["T"] / (v["rho0"] * v["n"] ** 2 * v["D"] ** 4), "1"
        ),
        "C_P": CalculationLine(
            "{P} / ({rho0} * {n}^3 * {D}^5)", lambda v: v["P"] / (v["rho0"] * v["n"] ** 3 * v["D"] ** 5), "1"
        ),
        "FM": CalculationLine(
            "{T}^1.5 / (sqrt(2 * {rho0} * {A}) * {P})",
            lambda v: v["T"] ** 1.5 / (math.sqrt(2.0 * v["rho0"] * v["A"]) * v["P"]),
            "1",
        ),
        "lambda": CalculationLine("{v} / ({omega} * {D} / 2)", lambda v: v["v"] / (v["omega"] * v["D"] / 2.0), "1"),
        "M_tip": CalculationLine("{omega} * {D} / 2 / {a0}", lambda v: v["omega"] * v["D"] / 2.0 / v["a0"], "1"),
    }
)
"""Where the abscissa is speed; everything in standard air."""

LAST_LINE: Final[Mapping[str, str]] = MappingProxyType(
    {
        "speed": "omega",
        "thrust": "T",
        "torque": "Q",
        "shaft-power": "P",
        "electrical-power": "P_el",
        "current": "I",
        "throttle": "delta",
        **{name: symbol for name, (symbol, _) in HEARD_SYMBOLS.items()},
        "shaft-efficiency": "T_per_P",
        "electrical-efficiency": "T_per_P_el",
        "drive-efficiency": "eta",
        "thrust-coefficient": "C_T",
        "power-coefficient": "C_P",
        "figure-of-merit": "FM",
        "inflow-ratio": "lambda",
        "tip-mach": "M_tip",
        "vibration": "a",
    }
)
"""Measurand -> the line that gives it."""


def steps_to(symbol: str, lines: Mapping[str, CalculationLine], given: Values) -> list[Step]:
    """Return the lines that lead from what is given to a symbol, each after those that it needs."""
    known = dict(given)
    steps: list[Step] = []

    def find(name: str) -> float:
        if name not in known:
            line = lines[name]
            operands = tuple((each, find(each)) for each in line.operands)
            known[name] = line.value(known)
            steps.append(Step(name, line.formula, operands, known[name], line.unit))
        return known[name]

    find(symbol)
    return steps
