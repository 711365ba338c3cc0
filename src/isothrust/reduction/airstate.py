"""Density and viscosity of the day, with what their uncertainty is common to."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.science.air import air_density, air_density_sensitivities, air_density_validity, air_viscosity
from isothrust.science.atmosphere import standard_atmosphere

__all__ = ["AirSource", "AirState", "air_state"]


@dataclass(frozen=True, slots=True)
class AirSource:
    """One reading's share in the density."""

    source: str
    key: str
    relative: float
    """Relative change of density for one standard uncertainty, signed [1]."""


@dataclass(frozen=True, slots=True)
class AirState:
    """Air of one run."""

    density: float | None
    """[kg/m3]"""
    reynolds_ratio: float
    """ln of Reynolds number in standard air over that of the day, at equal speed [1]."""
    sources: tuple[AirSource, ...]
    flags: tuple[str, ...]
    findings: tuple[Finding, ...]


def air_state(job: RunJob) -> AirState:
    """Return the air of the run; without any air there is no density, and no invented one."""
    air = job.run.air
    if air is None:
        return AirState(None, 0.0, (), ("air-unknown",), ())
    t, p, h = air.temperature.value, air.pressure.value, air.humidity.value
    density = float(air_density(t, p, h))
    slopes = air_density_sensitivities(t, p, h)
    sources: list[AirSource] = []
    flags: list[str] = []
    for name, reading, slope in (
        ("temperature", air.temperature, slopes.temperature),
        ("pressure", air.pressure, slopes.pressure),
        ("humidity", air.humidity, slopes.humidity),
    ):
        if reading.uncertainty is None:
            flags.append("calibration-not-stated")
            continue
        if reading.origin == "book":
            flags.append("air-from-book")
            key = f"campaign {job.run.campaign} {name} not read"
        else:
            key = f"rig {job.rig.name} {name}"
        sources.append(AirSource(f"air {name}", key, float(slope) * reading.uncertainty / density))
    standard = standard_atmosphere(0.0)
    ratio = (job.standard_density / float(air_viscosity(standard.temperature))) / (density / float(air_viscosity(t)))
    return AirState(density, float(np.log(ratio)), tuple(sources), tuple(dict.fromkeys(flags)), _outside(t, p, h))


def _outside(t: float, p: float, h: float) -> tuple[Finding, ...]:
    if bool(air_density_validity(t, p, h)):
        return ()
    return (
        Finding(
            code="air-outside-range",
            severity="note",
            message=f"the air ({t - 273.15:.1f} degC, {p / 100.0:.0f} hPa) lies outside the range for which the "
            "density formula is stated",
            effect="the formula still agrees with others to 0.01 % there",
        ),
    )
