"""Analysis of variance and all pairwise differences: NIST/SEMATECH e-Handbook, SAS output and scipy's documentation."""

from __future__ import annotations

import numpy as np

from isothrust.science.arrays import Floats
from isothrust.science.ranking import (
    pair_intervals,
    studentized_range_distribution,
    studentized_range_quantile,
    tied_with,
)
from isothrust.science.repeatability import Component, variance_component
from support.validation import Printed

NIST = "NIST/SEMATECH e-Handbook of Statistical Methods"
Groups = tuple[tuple[float, ...], ...]
TEXTILE: Groups = (
    (6.9, 5.4, 5.8, 4.6, 4.0),
    (8.3, 6.8, 7.8, 9.2, 6.5),
    (8.0, 10.5, 8.1, 6.9, 9.3),
    (5.8, 3.8, 6.1, 5.6, 6.2),
)
UNEQUAL: Groups = (
    (24.5, 23.5, 26.28, 26.4, 27.1, 29.9, 30.1, 30.1),
    (28.4, 34.2, 29.5, 32.2, 30.1),
    (26.1, 28.3, 24.3, 26.2, 27.8),
)
EQUAL: Groups = ((24.5, 23.5, 26.4, 27.1, 29.9), *UNEQUAL[1:])


def analysed(groups: Groups) -> tuple[Floats, Component, Floats]:
    """Return means, mean square error with its degrees of freedom, and the uncertainty of each difference."""
    values = np.concatenate(groups)
    labels = np.repeat(np.arange(len(groups)), [len(g) for g in groups])
    error = variance_component(values, 0.0, labels)
    each = np.array([float(error.variance) / len(g) for g in groups])
    return np.array([np.mean(g) for g in groups]), error, np.sqrt(each[:, None] + each[None, :])


def test_one_way_analysis_of_variance(printed: Printed) -> None:
    means, error, _ = analysed(TEXTILE[:3])
    source = f"{NIST}, 7.4.3.3"
    printed(
        error.variance * error.degrees_of_freedom, "17.452", source=source, what="error sum of squares", relative=1e-4
    )
    printed(error.degrees_of_freedom, "12", source=source, what="error degrees of freedom", absolute=1e-6)
    f = 5.0 * means.var(ddof=1) / error.variance
    printed(f, "9.5911", source=source, what="F of three groups", relative=1e-4)


def test_all_pairs_of_four_groups(printed: Printed) -> None:
    means, error, u = analysed(TEXTILE)
    source = f"{NIST}, 7.4.7.1"
    for i, text in enumerate(("5.34", "7.72", "8.56", "5.50")):
        printed(means[i], text, source=source, what=f"mean of group {i + 1}")
    printed(error.variance, "1.33075", source=source, what="mean square error")
    q = studentized_range_quantile(0.95, 4, error.degrees_of_freedom)
    printed(q, "4.0461", source=source, what="q for 95 %, 4 groups, 16 degrees of freedom")
    found = pair_intervals(means, u, error.degrees_of_freedom)
    printed(found.half_width[0, 1], "2.0874", source=source, what="honest significant difference")
    intervals = {
        (1, 0): (".29", "4.47"),
        (2, 0): ("1.13", "5.31"),
        (0, 3): ("-2.25", "1.93"),
        (1, 2): ("-2.93", "1.25"),
        (1, 3): (".13", "4.31"),
        (2, 3): (".97", "5.15"),
    }
    for (i, j), (low, high) in intervals.items():
        what = f"interval of group {i + 1} less group {j + 1}"
        printed(found.difference[i, j] - found.half_width[i, j], low, source=source, what=f"{what}, low", absolute=0.01)
        printed(
            found.difference[i, j] + found.half_width[i, j], high, source=source, what=f"{what}, high", absolute=0.01
        )
    assert tied_with(found.difference, found.real) == ((3,), (2,), (1,), (0,))


def test_all_pairs_of_unequal_groups(printed: Printed) -> None:
    means, error, u = analysed(UNEQUAL)
    found = pair_intervals(means, u, error.degrees_of_freedom)
    source = "SAS, Tukey-Kramer output, as quoted in the tests of scipy"
    intervals = {
        (1, 0): ("3.645", ".2679", "7.0221"),
        (1, 2): ("4.34", ".5935", "8.0865"),
        (2, 0): ("-.695", "-4.0721", "2.6821"),
    }
    for (i, j), (difference, low, high) in intervals.items():
        d, half, what = found.difference[i, j], found.half_width[i, j], f"group {i + 1} less group {j + 1}"
        printed(d, difference, source=source, what=what, absolute=1e-3)
        printed(d - half, low, source=source, what=f"{what}, low end", absolute=1e-3)
        printed(d + half, high, source=source, what=f"{what}, high end", absolute=1e-3)


def test_probabilities_of_three_equal_groups(printed: Printed) -> None:
    means, error, u = analysed(EQUAL)
    found = pair_intervals(means, u, error.degrees_of_freedom)
    source = "scipy.stats.tukey_hsd, documentation"
    q = np.sqrt(2.0) * np.abs(found.difference) / np.where(u > 0.0, u, 1.0)
    p = 1.0 - studentized_range_distribution(q, 3, error.degrees_of_freedom)
    for (i, j), difference, probability in (
        ((0, 1), "-4.600", ".014"),
        ((0, 2), "-0.260", ".980"),
        ((1, 2), "4.340", ".020"),
    ):
        what = f"group {i} less group {j}"
        printed(found.difference[i, j], difference, source=source, what=what)
        printed(p[i, j], probability, source=source, what=f"{what}: probability by chance", absolute=0.001)
    assert tied_with(found.difference, found.real) == ((2,), (), (0,)), "A = C < B"
