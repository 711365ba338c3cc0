"""Air that was read wrongly: a pressure reduced to sea level, another unit, a slip of the pen."""

from __future__ import annotations

from typing import Final

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.reduction.evidence import Evidence
from isothrust.science.air import air_density
from isothrust.science.atmosphere import standard_atmosphere

__all__ = ["check_air"]

_HIGH: Final = 0.035
"""How far fair weather raises the pressure of a place over the standard one [1]: 35 hPa."""
_LOW: Final = -0.055
"""How far a storm lowers it [1]."""
_PRESSURE: Final = (50_000.0, 108_600.0)
"""Where people live, from 5 000 m to the highest ever read at sea level [Pa]."""
_TEMPERATURE: Final = (243.15, 323.15)
"""In which benches are run [K]: -30 to 50 degC."""
_DRY: Final = 0.02
"""Humidity that no workshop has [1]: a tenth of a desert's."""


def check_air(evidence: Evidence) -> list[Finding]:
    """Return a finding for each reading of the air that can hardly be so, with what it does to the density."""
    job = evidence.job
    air = job.run.air
    if air is None:
        return []
    t, p, h = air.temperature.value, air.pressure.value, air.humidity.value
    found = [*_pressure(job, p)]
    if not _TEMPERATURE[0] <= t <= _TEMPERATURE[1]:
        fahrenheit = (t - 273.15 - 32.0) / 1.8 + 273.15
        share = float(air_density(fahrenheit, p, h) / air_density(t, p, h)) - 1.0
        found.append(
            _finding(
                f"the temperature reads {t - 273.15:.1f} degC",
                f"were it degF ({fahrenheit - 273.15:.0f} degC), density would be {100.0 * share:+.1f} % different",
            )
        )
    if air.humidity.origin != "book" and 0.0 < h < _DRY:
        share = float(air_density(t, p, min(100.0 * h, 1.0)) / air_density(t, p, h)) - 1.0
        found.append(
            _finding(
                f"the humidity reads {100.0 * h:.2g} %, drier than any workshop",
                f"were it {100.0 * h:.2g} of one, density would be {100.0 * share:+.2f} % different",
            )
        )
    return found


def _pressure(job: RunJob, p: float) -> list[Finding]:
    if not _PRESSURE[0] <= p <= _PRESSURE[1]:
        return [
            _finding(
                f"the pressure reads {p / 100.0:.0f} hPa, which no inhabited place has",
                "density goes with it: a wrong unit makes all coefficients worthless",
            )
        ]
    altitude = job.rig.altitude
    if altitude is None:
        return []
    usual, sea = float(standard_atmosphere(altitude).pressure), float(standard_atmosphere(0.0).pressure)
    if _LOW <= p / usual - 1.0 <= _HIGH:
        return []
    why = ": it was reduced to sea level" if altitude > 0.0 and _LOW <= p / sea - 1.0 <= _HIGH else ""
    return [
        _finding(
            f"the pressure reads {p / 100.0:.0f} hPa at {altitude:.0f} m, where {usual / 100.0:.0f} hPa are usual{why}",
            f"density is about {100.0 * (p / usual - 1.0):+.0f} % off, coefficients {100.0 * (usual / p - 1.0):+.0f} %",
        )
    ]


def _finding(message: str, effect: str) -> Finding:
    return Finding("air-implausible", "warning", message, effect=effect, done="nothing")
