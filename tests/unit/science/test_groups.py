"""Rows that belong together, against dictionaries of lists."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from isothrust.science.groups import first_seen, grouped

LABELLED = st.lists(st.tuples(st.sampled_from("badc"), st.integers(-2, 2), st.floats(-1e3, 1e3)), max_size=30)
"""Two labels and a value a row; none at all now and then."""


@given(LABELLED)
def test_groups_are_those_of_a_dictionary_in_the_order_of_first_appearance(rows: list[tuple[str, int, float]]) -> None:
    expected: dict[tuple[str, int], list[int]] = {}
    for number, (letter, digit, _) in enumerate(rows):
        expected.setdefault((letter, digit), []).append(number)
    values = np.array([[value, -2.0 * value] for *_, value in rows]).reshape(len(rows), 2)
    groups = grouped([letter for letter, *_ in rows], [digit for _, digit, _ in rows])
    assert groups.count == len(expected)
    assert groups.first.tolist() == [numbers[0] for numbers in expected.values()]
    for group, numbers in enumerate(expected.values()):
        assert np.flatnonzero(groups.of_row == group).tolist() == numbers
        assert_allclose(groups.sums(values)[group], sum(values[number] for number in numbers), atol=1e-9)
        assert groups.least(values)[group].tolist() == [min(values[numbers, column]) for column in range(2)]


@given(st.lists(st.sampled_from(["b", "a", "c", "é", ""]), max_size=20))
def test_codes_are_numbered_as_the_labels_first_appear(labels: list[str]) -> None:
    known: dict[str, int] = {}
    assert first_seen(labels).tolist() == [known.setdefault(label, len(known)) for label in labels]


def test_a_row_that_is_not_a_number_spoils_its_own_group_alone() -> None:
    groups = grouped(["a", "b", "a", "b"])
    sums = groups.sums(np.array([1.0, np.nan, 2.0, 4.0]))
    assert sums[0] == 3.0
    assert np.isnan(sums[1])
