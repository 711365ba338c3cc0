"""Corrections of rotors whose unbalance is known."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.science.balance import (
    Correction,
    correction_from_amplitudes,
    correction_from_vectors,
    split_by_turning,
    vector_change,
)

OWN = 2e-6 * np.exp(1j * np.radians(40.0))
TRIAL = 1.5e-6 * np.exp(1j * np.radians(200.0))
RESPONSE = np.array([3e6 + 1e6j, -2e6 + 2.5e6j, 4e6 * np.exp(2j)])
"""Acceleration for an unbalance at three speeds, as a stand with resonances has it."""


def drawn(true: np.ndarray, sd: float, random: np.random.Generator) -> np.ndarray:
    return true + sd * (random.standard_normal(true.shape) + 1j * random.standard_normal(true.shape))


def by_vectors(sd: float, random: np.random.Generator) -> Correction:
    u = np.full(3, max(sd, 1e-9))
    before, after = drawn(RESPONSE * OWN, sd, random), drawn(RESPONSE * (OWN + TRIAL), sd, random)
    return correction_from_vectors(before, after, u, u, TRIAL)


def test_correction_without_noise_is_the_unbalance_turned_half_round() -> None:
    found = by_vectors(0.0, np.random.default_rng(1))
    assert found.unbalance == pytest.approx(-OWN, rel=1e-9)
    assert np.degrees(found.angle) == pytest.approx(220.0, abs=1e-6)


def test_stated_uncertainty_of_size_and_angle_is_what_corrections_scatter_by() -> None:
    random = np.random.default_rng(2)
    found = [by_vectors(0.15, random) for _ in range(400)]
    size = [each.size for each in found]
    angle = [each.angle for each in found]
    assert np.std(size) == pytest.approx(np.mean([each.u_size for each in found]), rel=0.15)
    assert np.std(angle) == pytest.approx(np.mean([each.u_angle for each in found]), rel=0.15)


def test_three_angles_serve_without_a_mark_and_say_how_well() -> None:
    random = np.random.default_rng(3)
    put = 1.5e-6 * np.exp(1j * np.radians([0.0, 120.0, 240.0]))
    found = []
    for _ in range(300):
        before = np.abs(drawn(RESPONSE * OWN, 0.08, random))
        after = np.abs(drawn(RESPONSE[None] * (OWN + put[:, None]), 0.08, random))
        found.append(correction_from_amplitudes(before, after, np.full(3, 0.08), np.full((3, 3), 0.08), put))
    values = np.array([each.unbalance for each in found])
    assert np.mean(values) == pytest.approx(-OWN, rel=0.02)
    assert np.std(np.abs(values)) == pytest.approx(np.mean([each.u_size for each in found]), rel=0.3)
    assert np.mean([each.change for each in found]) == pytest.approx(0.75, rel=0.05)


def test_more_and_uneven_angles_serve_as_well() -> None:
    put = 1e-6 * np.exp(1j * np.radians([10.0, 95.0, 200.0, 300.0]))
    after = np.abs(RESPONSE[None] * (OWN + put[:, None]))
    found = correction_from_amplitudes(np.abs(RESPONSE * OWN), after, np.full(3, 1e-3), np.full((4, 3), 1e-3), put)
    assert found.unbalance == pytest.approx(-OWN, rel=1e-6)


@pytest.mark.parametrize("angles", [(0.0, 180.0), (0.0, 180.0, 0.0)])
def test_too_few_or_opposite_angles_are_refused(angles: tuple[float, ...]) -> None:
    put = 1e-6 * np.exp(1j * np.radians(angles))
    after = np.abs(RESPONSE[None] * (OWN + put[:, None]))
    with pytest.raises(ValueError, match=r"three trials|one line"):
        correction_from_amplitudes(np.abs(RESPONSE * OWN), after, np.full(3, 0.1), np.full(after.shape, 0.1), put)


def test_change_is_of_the_vector_itself() -> None:
    assert float(vector_change([2.0, 2.0j], [2.5, 2.5j])) == pytest.approx(0.25)
    assert float(vector_change([1.0], [1.0j])) == pytest.approx(2.0**0.5)


def test_turning_tells_hub_from_blade() -> None:
    hub, blade = 0.4 - 0.1j, 1.0 + 0.7j
    found = split_by_turning([hub + blade], [hub - blade])
    assert found[0][0] == pytest.approx(hub)
    assert found[1][0] == pytest.approx(blade)
