"""Budgets of many figures at once, against plain loops over the formulas of the GUM."""

from __future__ import annotations

import math

import numpy as np
import pytest

from isothrust.science.budgets import Lines, budget_differences, combine_budgets, merge_lines

COUNT, KEYS, CONDITIONS = 4, 7, 5
INF = math.inf


def drawn(seed: int) -> Lines:
    """Lines of four budgets: keys 0 to 2 are common, scatter (estimate 0) is common in size but not in error."""
    random = np.random.default_rng(seed)
    budgets, keys, estimates, dofs = [], [], [], []
    for budget in range(COUNT):
        for key in range(3):  # the same error in all budgets
            budgets.append(budget)
            keys.append(key)
            estimates.append(10 + key)
            dofs.append(INF if key else 9.0)
        for own in range(2):  # this budget's alone
            budgets.append(budget)
            keys.append(100 + 10 * budget + own)
            estimates.append(100 + 10 * budget + own)
            dofs.append(3.0 + budget)
        budgets.append(budget)  # scatter: an error of its own, of a size that all share
        keys.append(200 + budget)
        estimates.append(0)
        dofs.append(6.0)
    contributions = random.normal(size=(len(keys), CONDITIONS))
    contributions[random.random(contributions.shape) < 0.15] = 0.0
    dof = np.repeat(np.array(dofs)[:, None], CONDITIONS, axis=1)
    return Lines(contributions, dof, *(np.array(code) for code in (budgets, keys, estimates)))


def plain(lines: Lines, condition: int, weights: dict[int, float]) -> tuple[float, float]:
    """Return u and effective degrees of freedom of a weighted sum of budgets, line by line.

    JCGM 100:2008, 5.2.2: contributions of one key add with their signs. G.2b: u^4 over the sum of u_i^4/nu_i, where
    what rests on one estimate is one term.
    """
    by_key: dict[int, float] = {}
    least: dict[int, float] = {}
    estimate_of: dict[int, int] = {}
    for row in range(len(lines.keys)):
        weight = weights.get(int(lines.budgets[row]), 0.0)
        effect = weight * float(lines.contributions[row, condition])
        if effect == 0.0:
            continue
        key = int(lines.keys[row])
        by_key[key] = by_key.get(key, 0.0) + effect
        estimate_of[key] = int(lines.estimates[row])
        estimate = estimate_of[key]
        least[estimate] = min(least.get(estimate, INF), float(lines.degrees_of_freedom[row, condition]))
    terms: dict[int, float] = {}
    for key, effect in by_key.items():
        terms[estimate_of[key]] = terms.get(estimate_of[key], 0.0) + effect**2
    variance = math.fsum(terms.values())
    penalty = math.fsum(term**2 / least[estimate] for estimate, term in terms.items())
    return math.sqrt(variance), variance**2 / penalty if penalty else INF


@pytest.mark.parametrize("seed", range(20))
def test_each_budget_is_the_root_of_its_sum_of_squares(seed: int) -> None:
    lines = drawn(seed)
    found = combine_budgets(lines, COUNT)
    for budget in range(COUNT):
        for condition in range(CONDITIONS):
            u, dof = plain(lines, condition, {budget: 1.0})
            assert found.uncertainty[budget, condition] == pytest.approx(u, rel=1e-12)
            assert found.degrees_of_freedom[budget, condition] == pytest.approx(dof, rel=1e-10)


@pytest.mark.parametrize("seed", range(20))
def test_what_two_budgets_share_cancels_in_their_difference(seed: int) -> None:
    lines = drawn(seed)
    found = budget_differences(lines, COUNT)
    assert found.uncertainty.shape == (CONDITIONS, COUNT, COUNT)
    for condition in range(CONDITIONS):
        for first in range(COUNT):
            for second in range(COUNT):
                u, dof = plain(lines, condition, {first: 1.0, second: -1.0} if first != second else {})
                assert found.uncertainty[condition, first, second] == pytest.approx(u, rel=1e-10, abs=1e-12)
                if first != second:
                    assert found.degrees_of_freedom[condition, first, second] == pytest.approx(dof, rel=1e-9)


def test_a_difference_has_the_same_uncertainty_either_way_round() -> None:
    found = budget_differences(drawn(3), COUNT)
    assert np.allclose(found.uncertainty, np.swapaxes(found.uncertainty, 1, 2), rtol=1e-14)
    assert np.all(np.diagonal(found.uncertainty, axis1=1, axis2=2) == 0.0)


def test_an_error_that_all_share_alike_leaves_no_difference() -> None:
    code = np.zeros(COUNT, dtype=int)
    lines = Lines(np.full((COUNT, 1), 0.7), np.full((COUNT, 1), INF), np.arange(COUNT), code, code)
    assert np.all(budget_differences(lines, COUNT).uncertainty == 0.0)
    assert combine_budgets(lines, COUNT).uncertainty.ravel() == pytest.approx([0.7] * COUNT)


def test_a_budget_without_a_line_has_no_uncertainty_and_all_degrees_of_freedom() -> None:
    one = np.array([0])
    lines = Lines(np.array([[2.0]]), np.array([[5.0]]), one, one, one)
    found = combine_budgets(lines, 2)
    assert found.uncertainty.ravel().tolist() == [2.0, 0.0]
    assert found.degrees_of_freedom.ravel().tolist() == [5.0, INF]
    assert budget_differences(lines, 2).uncertainty[0, 0, 1] == pytest.approx(2.0)


def test_lines_of_one_key_add_up_with_their_signs_and_keep_the_least_degrees_of_freedom() -> None:
    budgets, keys = np.array([0, 0, 0, 1]), np.array([5, 6, 5, 5])
    lines = Lines(np.array([[1.0], [2.0], [-4.0], [3.0]]), np.array([[9.0], [INF], [4.0], [7.0]]), budgets, keys, keys)
    merged = merge_lines(lines)
    assert merged.contributions.ravel().tolist() == [-3.0, 2.0, 3.0]
    assert merged.degrees_of_freedom.ravel().tolist() == [4.0, INF, 7.0]
    assert merged.budgets.tolist() == [0, 0, 1]


@pytest.mark.parametrize("factor", [1e-180, 1e-60, 1e60, 1e150])
def test_the_unit_of_the_figures_is_no_matter(factor: float) -> None:
    lines = drawn(1)
    scaled = lines._replace(contributions=lines.contributions * factor)
    usual, found = budget_differences(lines, COUNT), budget_differences(scaled, COUNT)
    assert found.uncertainty / factor == pytest.approx(usual.uncertainty, rel=1e-12)
    assert found.degrees_of_freedom == pytest.approx(usual.degrees_of_freedom, rel=1e-10)
