"""Budgets kept as arrays, and read as sequences of their lines."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np

from isothrust.book.store import read_results, write_results
from isothrust.records.budget import BudgetTable
from isothrust.records.reduced import Contribution
from made_results import result

TABLE = BudgetTable(
    ("thrust scale", "noise left by the fit"),
    ("rig loft thrust scale", "run s/r1 noise"),
    ("rig", "run"),
    np.array([[0.5, 0.0], [0.25, -0.75]]),
    np.array([[math.inf, math.inf], [12.0, 14.0]]),
)
SCALE = Contribution("thrust scale", "rig loft thrust scale", "rig", 0.5, math.inf)
NOISE = Contribution("noise left by the fit", "run s/r1 noise", "run", 0.25, 12.0)


def test_a_budget_is_a_sequence_of_its_lines() -> None:
    budget = TABLE.at(0)
    assert list(budget) == [SCALE, NOISE]
    assert (len(budget), budget[1], budget[:1], NOISE in budget) == (2, NOISE, (SCALE,), True)
    assert budget == (SCALE, NOISE)
    assert budget != (SCALE,)
    assert hash(budget) == hash(TABLE.at(0))


def test_a_source_that_does_not_act_at_a_condition_is_left_out_there() -> None:
    (line,) = TABLE.at(1)
    assert line == Contribution("noise left by the fit", "run s/r1 noise", "run", -0.75, 14.0)


def test_results_with_such_budgets_are_stored_and_read_back_the_same(tmp_path: Path) -> None:
    one = replace(result("Auk", 60.0, {"run a": 0.3}), budget=TABLE.at(0), sample_contributions=TABLE.at(1))
    write_results(tmp_path, [one])
    assert read_results(tmp_path) == (one,)
