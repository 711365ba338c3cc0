"""Air that was read wrongly: reduced to sea level, in degF, in parts of one; and air that is only unusual."""

from __future__ import annotations

from dataclasses import replace

import pytest

from isothrust.records.finding import Finding
from isothrust.reduction.checks.air.implausible import check_air
from isothrust.science.air import air_density
from unit.reduction.bench import recorded
from unit.reduction.examined import evidence_of


def found(*, altitude: float | None = None, origin: str = "run", **read: float) -> list[Finding]:
    recording, job = recorded("ramp")
    air = job.run.air
    assert air is not None
    readings = {name: replace(getattr(air, name), value=value, origin=origin) for name, value in read.items()}
    job = replace(job, run=replace(job.run, air=replace(air, **readings)), rig=replace(job.rig, altitude=altitude))
    return check_air(evidence_of(recording, job))


@pytest.mark.parametrize(
    "read",
    [
        {"temperature": 263.15},
        {"temperature": 318.15},
        {"humidity": 0.05},
        {"humidity": 1.0},
        {"pressure": 97_000.0},
        {"pressure": 104_800.0},
        {"pressure": 70_000.0},
    ],
)
def test_unusual_air_is_no_finding(read: dict[str, float]) -> None:
    assert found(**read) == []


def test_a_pressure_reduced_to_sea_level_is_told_where_the_altitude_is_stated() -> None:
    """ISO 2533: 954.61 hPa at 500 m, so that 1013.25 hPa there is 6.1 % too much."""
    (finding,) = found(altitude=500.0, pressure=101_325.0)
    assert (finding.code, finding.severity) == ("air-implausible", "warning")
    assert "reduced to sea level" in finding.message
    assert "955 hPa are usual" in finding.message
    assert finding.effect is not None
    assert "+6 % off, coefficients -6 %" in finding.effect
    assert found(pressure=101_325.0) == []


def test_weather_at_a_known_altitude_is_no_finding() -> None:
    usual = 95_461.0
    for share in (0.95, 1.0, 1.03):  # a storm, and a high of 1044 hPa at sea level
        assert found(altitude=500.0, pressure=share * usual) == []
    (low,) = found(altitude=500.0, pressure=85_000.0)
    assert "sea level" not in low.message


def test_degrees_of_another_scale_are_told_with_what_they_do_to_density() -> None:
    (finding,) = found(temperature=55.0 + 273.15)
    assert finding.effect is not None
    _, job = recorded("ramp")
    assert job.run.air is not None
    p, h = job.run.air.pressure.value, job.run.air.humidity.value
    share = float(air_density((55.0 - 32.0) / 1.8 + 273.15, p, h) / air_density(328.15, p, h)) - 1.0
    assert f"{100.0 * share:+.1f} %" in finding.effect


def test_a_humidity_in_parts_of_one_is_told_unless_it_is_a_default() -> None:
    (finding,) = found(humidity=0.005)
    assert "0.5 %" in finding.message
    assert found(humidity=0.005, origin="book") == []


def test_a_run_without_air_has_no_such_finding() -> None:
    recording, job = recorded("ramp")
    assert check_air(evidence_of(recording, replace(job, run=replace(job.run, air=None)))) == []
