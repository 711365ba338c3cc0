"""Comparisons: designs of one class ranked on one measurand at one condition, with ties and real differences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from isothrust.quantities import MEASURANDS
from isothrust.records.book import Design
from isothrust.records.result import Comparison, Condition, Pair, Rank, Result
from isothrust.reduction.comparing_class import PropellerClass, class_name, class_of
from isothrust.reduction.comparing_notes import Stand, comparison_notes, split_by_density
from isothrust.reduction.comparing_pairs import Ranked

__all__ = ["Grounds", "better_way", "compare_results"]


@dataclass(frozen=True, slots=True)
class Grounds:
    """What a comparison needs to know beside the results."""

    designs: Mapping[str, Design]
    class_edges: tuple[float, ...]
    stands: Mapping[str, Stand] = field(default_factory=dict)
    """By campaign."""
    densities: Mapping[tuple[str, str], float] = field(default_factory=dict)
    """(campaign, run) -> density of the day [kg/m3]."""
    across_blades: bool = False


_Key = tuple[str, str, Condition | None, PropellerClass]


def compare_results(results: Sequence[Result], grounds: Grounds) -> list[Comparison]:
    """Return one comparison for each campaign, measurand, condition and class, in the order of the results."""
    groups: dict[_Key, list[Result]] = {}
    for result in results:
        of = class_of(_design(grounds, result), grounds.class_edges, across_blades=grounds.across_blades)
        groups.setdefault((result.campaign, result.measurand, result.condition, of), []).append(result)
    return [_compare(members, grounds) for members in groups.values()]


def better_way(measurand: str, condition: Condition | None) -> Literal["more", "less"] | None:
    """Return which way is better; at equal speed less power or torque may only mean less thrust."""
    if condition is not None and condition.quantity == "speed" and measurand in {"torque", "shaft-power"}:
        return None
    return MEASURANDS[measurand].better


def _design(grounds: Grounds, result: Result) -> Design:
    return grounds.designs.get(result.design, Design(result.design))


def _compare(results: Sequence[Result], grounds: Grounds) -> Comparison:
    measurand, campaign = results[0].measurand, results[0].campaign
    designs = [_design(grounds, result) for result in results]
    comparable, outside = split_by_density(results, grounds.densities)
    absent = [*(result for result in results if result.value is None), *outside]
    better = better_way(measurand, results[0].condition)
    ranks: tuple[Rank, ...] = ()
    pairs: tuple[Pair, ...] = ()
    statement = None
    if comparable:
        ranked = Ranked(comparable, more_is_better=better != "less")
        ranks = tuple(
            Rank(place, tied, result)
            for place, tied, result in zip(ranked.places, ranked.ties, ranked.results, strict=True)
        )
        pairs, statement = ranked.pairs, ranked.statement
    compared = [_design(grounds, rank.result) for rank in ranks]
    stand = grounds.stands.get(campaign, Stand())
    mixed = len({design.blades for design in designs}) > 1
    return Comparison(
        measurand=measurand,
        condition=results[0].condition,
        class_name=class_name(designs, grounds.class_edges, across_blades=grounds.across_blades),
        mixed=mixed,
        ranks=ranks,
        absent=tuple(absent),
        pairs=pairs,
        sentences=(),
        better=better,
        notes=comparison_notes(measurand, compared, stand, statement, mixed=mixed),
    )
