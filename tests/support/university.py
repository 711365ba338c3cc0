"""Static sweeps of ../shared/field/university-tables, and hold logs as a bench would have recorded them.

Tables: UIUC Propeller Data Site, volumes 1 to 3 (Brandt, Deters, Ananda, Dantsker, Selig). A row's thrust and torque
are made here from its coefficients by their definition, AIAA 2014-2151 eq. (2) to (8), in plain arithmetic.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

TABLES = Path(__file__).resolve().parents[3] / "shared" / "field" / "university-tables"
GF = 0.00980665
INCH = 0.0254
DIGITS = {1: 4, 2: 6, 3: 6}
"""Decimals that each volume prints of CT and CP; the tables drop zeros at the end."""


@dataclass(frozen=True)
class Sweep:
    """One static sweep: speeds rise."""

    volume: int
    name: str
    diameter: float
    """[m]"""
    blades: int
    rpm: Floats
    ct: Floats
    cp: Floats

    @property
    def half_digit(self) -> float:
        return 0.5 * 10.0 ** -DIGITS[self.volume]

    @property
    def omega(self) -> Floats:
        return self.rpm * math.pi / 30.0

    def thrust(self, density: float) -> Floats:
        """[N]"""
        return self.ct * density * (self.rpm / 60.0) ** 2 * self.diameter**4

    def torque(self, density: float) -> Floats:
        """[N m]"""
        power = self.cp * density * (self.rpm / 60.0) ** 3 * self.diameter**5
        return power / (2.0 * math.pi * self.rpm / 60.0)


@cache
def sweeps() -> tuple[Sweep, ...]:
    """Every static sweep; where a table holds several of one propeller, each begins where the speed falls back."""
    found: list[Sweep] = []
    for volume in DIGITS:
        rows: dict[str, list[dict[str, str]]] = {}
        with (TABLES / f"volume{volume}.csv").open(encoding="utf-8") as file:
            for row in csv.DictReader(file):
                if float(row["J"]) == 0.0:
                    rows.setdefault(row["PropName"], []).append(row)
        for name, mine in rows.items():
            rpm = np.array([float(row["N"]) for row in mine])
            parts = np.split(np.arange(rpm.size), np.flatnonzero(np.diff(rpm) <= 0.0) + 1)
            found += [_sweep(volume, name, [mine[k] for k in part]) for part in parts]
    return tuple(found)


def _sweep(volume: int, name: str, rows: list[dict[str, str]]) -> Sweep:
    rpm, ct, cp = (np.array([float(row[key]) for row in rows]) for key in ("N", "CT", "CP"))
    return Sweep(volume, name, float(rows[0]["D"]) * INCH, int(rows[0]["B"]), rpm, ct, cp)


@dataclass(frozen=True)
class HoldLog:
    """Columns of a log in the units of a bench, quantised, zeros of the cells inside."""

    time: Floats
    """[s]"""
    rpm: Floats
    thrust: Floats
    """[gf]"""
    torque: Floats
    """[N mm]"""


def hold_log(sweep: Sweep, density: float, *, stay: float = 3.0, rate: float = 50.0) -> HoldLog:
    """Return one hold a row, with the motor off before and after; cells read an offset with nothing on them."""
    rows = round(stay * rate)
    off = np.zeros(1)
    rpm = np.repeat(np.concatenate([off, sweep.rpm, off]), rows)
    thrust = np.repeat(np.concatenate([off, sweep.thrust(density) / GF, off]), rows)
    torque = np.repeat(np.concatenate([off, sweep.torque(density) * 1e3, off]), rows)
    thrust, torque = thrust + 0.1 * np.max(thrust), torque - 0.03 * np.max(torque)
    time = np.arange(rpm.size) / rate
    return HoldLog(time, np.round(rpm, 3), _quantised(thrust), _quantised(torque))


def _quantised(values: Floats) -> Floats:
    """Nine digits of the greatest reading: the logger's step must not hide the sixth digit of a coefficient."""
    return np.round(values, 8 - math.floor(math.log10(float(np.max(np.abs(values))))))
