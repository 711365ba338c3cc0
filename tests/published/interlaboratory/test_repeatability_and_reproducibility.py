"""ISO 5725-2 / ASTM E691, serum glucose: repeatability, reproducibility, and the clamp of a negative component."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from isothrust.science.repeatability import variance_component
from support.validation import Printed

SOURCE = "ISO 5725-2 and ASTM E691, serum glucose example"


@pytest.mark.parametrize(
    ("material", "repeatability", "reproducibility", "clamped"),
    [
        ("A", "1.063224", "1.063224", True),
        ("B", "1.496071", "1.496071", True),
        ("C", "2.750879", "3.478919", False),
        ("D", "2.625065", "3.365712", False),
        ("E", "3.934974", "4.192334", False),
    ],
)
def test_scatter_within_and_between_laboratories(
    printed: Printed, material: str, repeatability: str, reproducibility: str, clamped: bool
) -> None:
    lines = (Path(__file__).parent / "glucose_cells.csv").read_text(encoding="utf-8").splitlines()[1:]
    cells = [row for row in csv.DictReader(lines) if row["material"] == material]
    means = np.array([float(row["mean_of_3"]) for row in cells])
    within = np.mean([float(row["sd_of_3"]) ** 2 for row in cells])
    between = variance_component(means, within / 3.0, ["all"] * len(cells))
    printed(np.sqrt(within), repeatability, source=SOURCE, what=f"s_r of material {material}", relative=1e-6)
    whole = np.sqrt(within + between.variance)
    printed(whole, reproducibility, source=SOURCE, what=f"s_R of material {material}", relative=1e-6)
    # ISO 5725-2, 7.4.5.4: a negative variance between laboratories is nil.
    assert bool(between.variance == 0.0) is clamped
