"""The studentized range against scipy.stats, family-wise intervals against simulation, places and ties."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.special import stdtr

from isothrust.science.ranking import (
    pair_intervals,
    place_numbers,
    places,
    studentized_range_distribution,
    studentized_range_quantile,
    tied_pairs,
    tied_with,
)
from isothrust.science.uncertainty import coverage_factor


@pytest.mark.parametrize("count", [2, 3, 8, 40])
@pytest.mark.parametrize("dof", [1.0, 2.5, 16.0, 1000.0, np.inf])
def test_distribution_agrees_with_an_independent_program(count: int, dof: float) -> None:
    from scipy.stats import studentized_range

    q = np.array([0.7, 2.0, 4.0, 8.0])
    assert_allclose(studentized_range_distribution(q, count, dof), studentized_range.cdf(q, count, dof), atol=1e-6)


@pytest.mark.parametrize(("count", "dof"), [(3, 1.0), (3, 4.0), (8, 16.0), (20, 60.0), (8, np.inf)])
def test_quantile_agrees_with_an_independent_program(count: int, dof: float) -> None:
    from scipy.stats import studentized_range

    for level in (0.9, 0.95, 0.99):
        assert_allclose(
            studentized_range_quantile(level, count, dof), studentized_range.ppf(level, count, dof), rtol=1e-6
        )


def test_two_values_are_student_s_distribution() -> None:
    q, dof = np.linspace(0.1, 9.0, 12), np.array([[1.0], [3.0], [12.0], [200.0]])
    assert_allclose(studentized_range_distribution(q, 2, dof), 2.0 * stdtr(dof, q / np.sqrt(2.0)) - 1.0, atol=1e-9)
    assert_allclose(studentized_range_quantile(0.95, 2, dof), np.sqrt(2.0) * coverage_factor(dof), rtol=1e-8)


def test_quantile_is_the_inverse_of_the_distribution_and_rises_with_the_count() -> None:
    dof = np.array([1.0, 3.0, 9.5, 80.0, np.inf])
    last = np.zeros(5)
    for count in (2, 3, 6, 30):
        q = studentized_range_quantile(0.95, count, dof)
        assert_allclose(studentized_range_distribution(q, count, dof), 0.95, atol=1e-9)
        assert (q > last).all()
        last = q


def test_many_different_degrees_of_freedom_give_what_each_gives_alone() -> None:
    dof = np.concatenate([np.linspace(1.0, 90.0, 100), [0.6, np.inf]])
    q = studentized_range_quantile(0.95, 12, dof)
    for i in (0, 7, 50, 100):
        assert_allclose(q[i], studentized_range_quantile(0.95, 12, dof[i]), rtol=1e-6)
    finite = studentized_range_quantile(0.95, 12, dof[:-1])
    assert_allclose(finite[7], q[7], rtol=1e-6)


def test_what_is_not_known_stays_unknown() -> None:
    assert np.isnan(studentized_range_quantile(0.95, 3, [np.nan, 0.0, -1.0])).all()
    assert np.isnan(studentized_range_distribution(np.nan, 3, 5.0))
    assert studentized_range_distribution([-1.0, 0.0], 3, 5.0).tolist() == [0.0, 0.0]
    with pytest.raises(ValueError, match="two values or more"):
        studentized_range_quantile(0.95, 1, 5.0)


def test_all_intervals_hold_together_as_often_as_they_say() -> None:
    rng = np.random.default_rng(8)
    truth = np.array([1.0, 1.1, 1.2, 1.5, 2.0])
    sd, runs, repeats = 0.2, 300, 3
    y = truth[:, None, None] + sd * rng.normal(size=(5, repeats, runs))
    variance = y.var(axis=1, ddof=1).mean(axis=0)
    held = []
    for i in range(runs):
        u = np.full((5, 5), np.sqrt(2.0 * variance[i] / repeats))
        found = pair_intervals(y[:, :, i].mean(axis=1), u, 10.0)
        wrong = np.abs(found.difference - (truth[:, None] - truth[None, :])) > found.half_width
        held.append(not wrong.any())
    assert abs(np.mean(held) - 0.95) < 0.03


def test_unequal_variances_stay_within_the_family_level() -> None:
    rng = np.random.default_rng(9)
    sds, repeats, runs = np.array([0.1, 0.2, 0.4, 0.8]), 6, 150
    y = sds[:, None, None] * rng.normal(size=(4, repeats, runs))
    s2 = y.var(axis=1, ddof=1) / repeats
    total = s2[:, None] + s2[None, :]
    dof = total**2 / ((s2[:, None] ** 2 + s2[None, :] ** 2) / (repeats - 1))
    wrong = [
        pair_intervals(y[:, :, i].mean(axis=1), np.sqrt(total[:, :, i]), dof[:, :, i]).real.any() for i in range(runs)
    ]
    assert np.mean(wrong) < 0.10


def test_places_and_ties_follow_what_is_real() -> None:
    values = [10.0, 10.4, 12.0, 9.9]
    found = pair_intervals(values, np.full((4, 4), 0.3), np.inf)
    assert places(found.difference, found.real, more_is_better=True) == (2, 2, 1, 2)
    assert places(found.difference, found.real, more_is_better=False) == (1, 1, 4, 1)
    assert tied_with(found.difference, found.real) == ((1, 3), (0, 3), (), (0, 1))


def test_ties_are_not_passed_on() -> None:
    found = pair_intervals([0.0, 0.8, 1.6], np.full((3, 3), 0.4), np.inf)
    assert tied_with(found.difference, found.real) == ((1,), (0, 2), (1,))


def test_one_that_is_missing_neither_wins_nor_ties_nor_widens_the_family() -> None:
    u = np.full((4, 4), 0.1)
    found = pair_intervals([1.0, np.nan, 2.0, 3.0], u, 12.0)
    assert not found.real[1].any()
    assert tied_with(found.difference, found.real)[1] == ()
    assert_allclose(found.half_width[0, 2], pair_intervals([1.0, 2.0, 3.0], u[:3, :3], 12.0).half_width[0, 1])
    alone = pair_intervals([1.0, np.nan], u[:2, :2], 12.0)
    assert not alone.real.any()
    assert np.isnan(alone.half_width).all()


def test_places_and_ties_of_many_conditions_are_those_of_each_by_itself() -> None:
    random = np.random.default_rng(5)
    values = random.normal(size=(6, 5))
    values[2, 3] = np.nan
    uncertainties = np.broadcast_to(0.4 + random.random((6, 1, 1)), (6, 5, 5))
    found = pair_intervals(values, uncertainties, 12.0)
    for more_is_better in (True, False):
        numbers = place_numbers(found.difference, found.real, more_is_better=more_is_better)
        ties = tied_pairs(found.difference, found.real)
        for condition in range(6):
            alone = pair_intervals(values[condition], uncertainties[condition], 12.0)
            expected = places(alone.difference, alone.real, more_is_better=more_is_better)
            assert numbers[condition].tolist() == list(expected)
            assert [tuple(np.flatnonzero(row)) for row in ties[condition]] == list(
                tied_with(alone.difference, alone.real)
            )
