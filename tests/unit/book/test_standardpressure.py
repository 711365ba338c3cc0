"""A pressure that was filled in stands out from those that were read."""

from __future__ import annotations

from isothrust.book.standardpressure import standard_pressure
from isothrust.records.air import Air, AirOrigin, AirReading
from isothrust.records.book import Run


def run(name: str, pressure: float, day: str = "2026-03-01", origin: AirOrigin = "run") -> Run:
    air = Air(AirReading(293.15, 0.3, "run"), AirReading(pressure, 60.0, origin), AirReading(0.5, 0.03, "run"))
    return Run(name, "spring", "d", "a", name, "ramp", {"log": f"{name}.csv"}, day, air)


def test_the_standard_pressure_beside_readings_is_told_once_with_its_runs() -> None:
    runs = [run("r1", 97_450.0), run("r2", 97_550.0), *(run(f"s{k}", 101_325.0, "2026-03-05") for k in range(5))]
    (finding,) = standard_pressure("runs.csv", runs)
    assert (finding.code, finding.severity, finding.count) == ("air-implausible", "warning", 5)
    assert "s0, s1, s2 and 2 more" in finding.message
    assert "975.0 hPa" in finding.message
    assert finding.effect is not None
    assert "+3.9 %" in finding.effect


def test_millimetres_and_inches_of_mercury_are_the_same_standard() -> None:
    for pressure in (760 * 133.322, 29.92 * 3386.389):
        assert len(standard_pressure("runs.csv", [run("r1", 97_450.0), run("s", pressure, "2026-03-05")])) == 1


def test_a_barometer_that_passes_the_standard_pressure_is_believed() -> None:
    day = [run("r1", 101_410.0), run("r2", 101_325.0), run("r3", 101_250.0), run("o", 99_800.0, "2026-03-05")]
    assert standard_pressure("runs.csv", day) == []


def test_a_lone_reading_a_default_and_a_table_of_nothing_else_are_not_accused() -> None:
    assert standard_pressure("runs.csv", [run("r1", 101_325.0)]) == []
    assert standard_pressure("runs.csv", [run("r1", 101_325.0), run("r2", 101_325.0)]) == []
    assert standard_pressure("runs.csv", [run("r1", 97_000.0), run("r2", 101_325.0, origin="campaign")]) == []
    assert standard_pressure("runs.csv", []) == []
