"""Tables of the UIUC Propeller Data Site, volumes 1 to 3: limits that hold over thousands of measurements.

They lie beside the project (most rows of the three volumes) and are not part of it; the figures they are held to were
taken from the whole volumes outside the project.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from isothrust.science.advance import ideal_propulsive_efficiency, propulsive_efficiency
from isothrust.science.arrays import Floats
from isothrust.science.repeatability import pooled_component
from isothrust.science.rotor import figure_of_merit_from_coefficients

COLUMNS = ("J", "N", "CT", "CP", "eta")


@pytest.fixture(scope="module")
def rows(shared: Path) -> dict[str, Floats]:
    table: dict[str, list[float]] = {name: [] for name in COLUMNS}
    for volume in (1, 2, 3):
        with (shared / "field" / "university-tables" / f"volume{volume}.csv").open(encoding="utf-8") as file:
            for row in csv.DictReader(file):
                for name in COLUMNS:
                    table[name].append(float(row[name] or "nan"))
    return {name: np.array(values) for name, values in table.items()}


def test_no_static_figure_of_merit_is_above_what_is_plausible(rows: dict[str, Floats]) -> None:
    static = rows["J"] == 0.0
    assert np.sum(static) > 3000, "the tables ought to be there in their thousands"
    fm = figure_of_merit_from_coefficients(rows["CT"][static], rows["CP"][static])
    # Of all 3903 static rows of the three volumes: least 0.1544, median 0.5346, greatest 0.8276.
    assert_allclose([np.min(fm), np.max(fm)], [0.1544, 0.8276], atol=6e-5)
    assert_allclose(np.median(fm), 0.5346, atol=0.01)


def test_propulsive_efficiencies_are_the_tables_own_and_below_the_ideal(rows: dict[str, Floats]) -> None:
    moving = rows["J"] != 0.0
    assert np.sum(moving) > 15_000, "the tables ought to be there in their thousands"
    j, ct, cp, eta = (rows[name][moving] for name in ("J", "CT", "CP", "eta"))
    off = np.abs(propulsive_efficiency(ct, cp, j) - eta)
    # Of all 23 592 rows: median 0.00021, 99 % below 0.0026, from the rounding of the printed coefficients.
    assert np.median(off) < 3e-4
    assert np.percentile(off, 99) < 4e-3
    pulling = ct > 0.0
    assert np.sum(eta[pulling] > ideal_propulsive_efficiency(ct[pulling], j[pulling])) == 0


def sweeps(shared: Path, name: str, least_rpm: float) -> list[tuple[Floats, Floats]]:
    """Return CT and CP of each repeated static sweep of one propeller."""
    with (shared / "checks" / "uiuc_static_subset.csv").open(encoding="utf-8") as file:
        mine = [row for row in csv.DictReader(file) if row["PropName"] == name and float(row["rpm"]) >= least_rpm]
    return [
        (
            np.array([float(r["CT"]) for r in mine if r["run"] == run]),
            np.array([float(r["CP"]) for r in mine if r["run"] == run]),
        )
        for run in ("0", "1", "2")
    ]


def test_three_samples_that_differ_are_not_taken_for_repeats(shared: Path) -> None:
    unlike = sweeps(shared, "gwsdd 5.0x4.3 - 2", 3900.0)
    alike = sweeps(shared, "gwsdd 2.5x0.8 - 2", 10_000.0)
    assert_allclose([ct.mean() for ct, _ in unlike], [0.16365, 0.14448, 0.14965], atol=6e-6)
    assert_allclose([cp.mean() for _, cp in unlike], [0.10561, 0.07154, 0.07629], atol=6e-6)
    assert_allclose([ct.mean() for ct, _ in alike], [0.06015, 0.05972, 0.06196], atol=6e-6)
    assert_allclose([cp.mean() for _, cp in alike], [0.02914, 0.02756, 0.02761], atol=6e-6)
    # Their power in proportion, as a campaign would pool it: +48 % between the ends against some 5 %.
    values = np.array([[cp.mean() / np.mean([c.mean() for _, c in one]) for _, cp in one] for one in (unlike, alike)])
    designs = np.repeat(["unlike", "alike"], 3)
    found = pooled_component(values.ravel(), 0.005**2, designs, designs)
    own = dict(zip(np.unique(designs), found.own.variance, strict=True))
    assert own["unlike"] > 25.0 * own["alike"]
    assert bool(found.scatters_more[list(np.unique(designs)).index("unlike")])


def test_a_measured_rotor_has_the_figure_of_merit_that_its_coefficients_give(shared: Path) -> None:
    # Four blades, 32.5 in radius; a figure in Leishman's book, digitised by a third party to two figures.
    with (shared / "checks" / "leishman_rotor_4blade.csv").open(encoding="utf-8") as file:
        ct, cp, fm = np.array([[float(v) for v in row.values()] for row in csv.DictReader(file)]).T
    assert ct.size == 19
    ours = figure_of_merit_from_coefficients(ct * np.pi**3 / 4.0, cp * np.pi**4 / 4.0)
    assert np.max(np.abs(ours - fm)) < 0.02
    assert_allclose(np.max(np.abs(ours - fm)), 0.0145, atol=6e-5)
