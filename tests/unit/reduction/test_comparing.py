"""Ranking, ties, classes and what cancels in a difference."""

from __future__ import annotations

import math

import numpy as np
import pytest

from isothrust.records.book import Design
from isothrust.records.result import Condition, Result
from isothrust.reduction.comparing import Grounds, better_way, compare_results
from isothrust.reduction.comparing_class import class_name, class_of
from isothrust.reduction.comparing_notes import Stand
from isothrust.reduction.comparing_pairs import rank_all
from made_results import AT_500GF, result

INCH = 0.0254
EDGES = tuple(edge * INCH for edge in (4.5, 5.3, 6.3, 7.3))


def seven(*names: str, blades: int = 2) -> dict[str, Design]:
    return {name: Design(name, diameter=7 * INCH, blades=blades) for name in names}


def spread_of(first: Result, second: Result) -> float:
    """Return the standard uncertainty of the difference of two results."""
    (ranked,) = rank_all([[first, second]], more_is_better=True)
    (pair,) = ranked.pairs
    return pair.uncertainty


def test_a_common_scale_error_cancels_as_far_as_it_really_does() -> None:
    a = result("Auk", 60.0, {"rig loft torque scale": 0.6, "run a": 0.3})
    b = result("Gull", 50.0, {"rig loft torque scale": 0.5, "run b": 0.4})
    # (0.6 - 0.5)^2 + 0.3^2 + 0.4^2
    assert spread_of(a, b) == pytest.approx(math.sqrt(0.01 + 0.09 + 0.16))


def test_of_the_design_adds_what_samples_scatter() -> None:
    a = result("Auk", 60.0, {"run a": 0.3}, sample_sd=0.4)
    b = result("Gull", 50.0, {"run b": 0.0}, sample_sd=1.2)
    assert spread_of(a, b) == pytest.approx(1.3)
    alone = result("Gull", 50.0, {"run b": 0.0})
    assert spread_of(result("Auk", 60.0, {"run a": 0.3}), alone) == pytest.approx(0.3)


def test_conditions_worked_out_together_give_what_each_gives_alone() -> None:
    random = np.random.default_rng(7)
    columns = [
        [
            result(
                name, 60.0 + random.normal(), {"rig scale": 0.5, f"run {name}": 0.1 + random.random()}, sample_sd=0.3
            )
            for name in names
        ]
        for names in (("Auk", "Gull", "Tern"), ("Auk", "Tern"), ("Auk", "Gull", "Tern"), ("Gull",))
    ]
    together = rank_all(columns, more_is_better=True)
    for column, ranked in zip(columns, together, strict=True):
        (alone,) = rank_all([column], more_is_better=True)
        assert (ranked.results, ranked.places, ranked.ties) == (alone.results, alone.places, alone.ties)
        assert [pair.half_width for pair in ranked.pairs] == pytest.approx([pair.half_width for pair in alone.pairs])
        assert [pair.first for pair in ranked.pairs] == [pair.first for pair in alone.pairs]


def test_less_power_wins_and_a_difference_within_its_uncertainty_is_a_tie() -> None:
    results = [
        result("Auk", 60.0, {"run a": 0.2}),
        result("Gull", 55.0, {"run g": 0.2}),
        result("Tern", 60.3, {"run t": 0.2}),
    ]
    (comparison,) = compare_results(results, Grounds(seven("Auk", "Gull", "Tern"), EDGES))
    assert [(rank.place, rank.result.design, rank.tied_with) for rank in comparison.ranks] == [
        (1, "Gull", ()),
        (2, "Auk", ("Tern",)),
        (2, "Tern", ("Auk",)),
    ]
    first = comparison.pairs[0]
    assert (first.first, first.second, first.real) == ("Gull", "Auk", True)
    assert first.difference == pytest.approx(-5.0)
    assert first.relative == pytest.approx(-5.0 / 60.0)
    # Tukey-Kramer with known variances: q(0.95; 3, inf) = 3.314 (tables of the studentized range), over sqrt 2
    assert first.half_width == pytest.approx(3.314 / math.sqrt(2) * math.sqrt(0.08), rel=1e-3)
    assert comparison.class_name == "7 inch, 2 blades"
    assert not comparison.mixed


def test_more_wins_where_more_is_better() -> None:
    results = [
        result(name, value, {f"run {name}": 0.1}, measurand="shaft-efficiency")
        for name, value in (("Auk", 10.0), ("Gull", 12.0))
    ]
    (comparison,) = compare_results(results, Grounds(seven("Auk", "Gull"), EDGES))
    assert comparison.ranks[0].result.design == "Gull"


def test_blade_counts_are_never_mixed_unless_asked_and_then_it_is_said() -> None:
    designs = seven("Auk") | seven("Gull", blades=3)
    results = [result("Auk", 60.0, {"run a": 0.2}), result("Gull", 55.0, {"run g": 0.2})]
    apart = compare_results(results, Grounds(designs, EDGES))
    assert [comparison.class_name for comparison in apart] == ["7 inch, 2 blades", "7 inch, 3 blades"]
    assert all(not comparison.pairs for comparison in apart)
    (together,) = compare_results(results, Grounds(designs, EDGES, across_blades=True))
    assert together.mixed
    assert "MIXED (2, 3)" in together.class_name
    assert "mixed" in together.notes[0]
    assert len(together.pairs) == 1


def test_designs_of_different_diameter_bands_are_never_compared() -> None:
    designs = seven("Auk") | {"Gull": Design("Gull", diameter=5 * INCH, blades=2)}
    results = [result("Auk", 60.0, {"run a": 0.2}), result("Gull", 55.0, {"run g": 0.2})]
    found = compare_results(results, Grounds(designs, EDGES, across_blades=True))
    assert [comparison.class_name for comparison in found] == ["7 inch, 2 blades", "5 inch, 2 blades"]


def test_campaigns_and_conditions_are_compared_apart() -> None:
    results = [result("Auk", 60.0), result("Gull", 55.0, campaign="autumn")]
    assert len(compare_results(results, Grounds(seven("Auk", "Gull"), EDGES))) == 2


def test_an_absent_figure_is_listed_and_not_ranked() -> None:
    results = [result("Auk", None), result("Gull", 55.0, {"run g": 0.2})]
    (comparison,) = compare_results(results, Grounds(seven("Auk", "Gull"), EDGES))
    assert [one.design for one in comparison.absent] == ["Auk"]
    assert [rank.result.design for rank in comparison.ranks] == ["Gull"]


def test_without_a_second_sample_the_comparison_says_these_samples_only() -> None:
    results = [
        result("Auk", 60.0, {"run a": 0.2}, sample_sd=None),
        result("Gull", 55.0, {"run g": 0.2}, sample_sd=None),
    ]
    (comparison,) = compare_results(results, Grounds(seven("Auk", "Gull"), EDGES))
    assert comparison.pairs[0].statement == "these samples only"
    assert "samples only" in comparison.notes[0]


def test_differing_diameters_name_an_obstruction_that_is_not_stated() -> None:
    designs = {"Auk": Design("Auk", diameter=6.5 * INCH, blades=2), "Gull": Design("Gull", diameter=7 * INCH, blades=2)}
    results = [result("Auk", 60.0, {"run a": 0.2}), result("Gull", 55.0, {"run g": 0.2})]
    (comparison,) = compare_results(results, Grounds(designs, EDGES))
    # S CD/(4 A) = 12e-4/(pi D^2): 1.40 % at 6.5 inch, 1.21 % at 7 inch
    assert "1.4 %" in comparison.notes[0]
    assert "1.2 %" in comparison.notes[0]
    assert comparison.class_name == "6.3 to 7.3 inch, 2 blades"
    stated = Grounds(designs, EDGES, stands={"spring": Stand(obstruction=12e-4)})
    assert compare_results(results, stated)[0].notes == ()


def test_peaks_are_compared_within_one_band_of_density() -> None:
    results = [
        result(name, 15.0, {f"run {name}": 0.1}, measurand="peak-thrust", condition=None)
        for name in ("Auk", "Gull", "Tern")
    ]
    densities = {("spring", "Auk-1"): 1.20, ("spring", "Gull-1"): 1.21, ("spring", "Tern-1"): 1.14}
    (comparison,) = compare_results(results, Grounds(seven("Auk", "Gull", "Tern"), EDGES, densities=densities))
    assert [one.design for one in comparison.absent] == ["Tern"]
    assert comparison.absent[0].absent is not None
    assert "1.140 kg/m3" in comparison.absent[0].absent
    assert comparison.absent[0].value is None
    assert comparison.absent[0].budget == ()


@pytest.mark.parametrize(
    ("diameter", "blades", "name"),
    [
        (5.0, 3, "5 inch, 3 blades"),
        (None, 2, "diameter not stated, 2 blades"),
        (5.0, None, "5 inch, blade count not stated"),
        (5.0, 1, "5 inch, 1 blade"),
    ],
)
def test_a_class_is_named_in_words(diameter: float | None, blades: int | None, name: str) -> None:
    design = Design("Auk", diameter=None if diameter is None else diameter * INCH, blades=blades)
    assert class_name([design], EDGES) == name


def test_a_diameter_on_an_edge_belongs_to_one_class_only() -> None:
    on_edge = class_of(Design("Auk", diameter=EDGES[1], blades=2), EDGES)
    above = class_of(Design("Gull", diameter=EDGES[1] + 1e-6, blades=2), EDGES)
    below = class_of(Design("Tern", diameter=EDGES[1] - 1e-6, blades=2), EDGES)
    assert on_edge == above != below


def test_less_power_at_equal_speed_is_not_called_better() -> None:
    at = Condition("speed", 1466.0)
    results = [
        result(name, 60.0 + place, {f"run {name}": 0.1}, condition=at) for place, name in enumerate(("Auk", "Gull"))
    ]
    (comparison,) = compare_results(results, Grounds(seven("Auk", "Gull"), EDGES))
    assert comparison.better is None
    assert [rank.result.design for rank in comparison.ranks] == ["Gull", "Auk"]
    assert better_way("shaft-power", AT_500GF) == "less"
