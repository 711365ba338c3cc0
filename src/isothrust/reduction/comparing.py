"""Comparisons: designs of one class ranked on one measurand at one condition, with ties and real differences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from isothrust.quantities import MEASURANDS
from isothrust.records.book import Design
from isothrust.records.result import Comparison, Condition, Rank, Result
from isothrust.reduction.comparing_class import PropellerClass, class_name, class_of
from isothrust.reduction.comparing_notes import Stand, comparison_notes, split_by_density
from isothrust.reduction.comparing_pairs import Ranked, rank_all

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


_Key = tuple[str, str, str | None, PropellerClass]
"""Campaign, measurand, quantity of the condition, class: what is worked out together."""


def compare_results(results: Sequence[Result], grounds: Grounds) -> list[Comparison]:
    """Return one comparison for each campaign, measurand, condition and class, in the order of the results."""
    groups: dict[_Key, dict[Condition | None, list[Result]]] = {}
    order: dict[tuple[_Key, Condition | None], None] = {}
    for result in results:
        of = class_of(_design(grounds, result), grounds.class_edges, across_blades=grounds.across_blades)
        quantity = None if result.condition is None else result.condition.quantity
        key = (result.campaign, result.measurand, quantity, of)
        groups.setdefault(key, {}).setdefault(result.condition, []).append(result)
        order[key, result.condition] = None
    found = {
        (key, condition): comparison
        for key, members in groups.items()
        for condition, comparison in zip(members, _compare(list(members.values()), grounds), strict=True)
    }
    return [found[name] for name in order]


def better_way(measurand: str, condition: Condition | None) -> Literal["more", "less"] | None:
    """Return which way is better; at equal speed less power or torque may only mean less thrust."""
    if condition is not None and condition.quantity == "speed" and measurand in {"torque", "shaft-power"}:
        return None
    return MEASURANDS[measurand].better


def _design(grounds: Grounds, result: Result) -> Design:
    return grounds.designs.get(result.design, Design(result.design))


def _compare(columns: Sequence[Sequence[Result]], grounds: Grounds) -> list[Comparison]:
    """Return the comparisons of one measurand and class, one for each condition."""
    better = better_way(columns[0][0].measurand, columns[0][0].condition)
    parted = [split_by_density(results, grounds.densities) for results in columns]
    valued = [number for number, (comparable, _) in enumerate(parted) if comparable]
    ranked = rank_all([parted[number][0] for number in valued], more_is_better=better != "less")
    rankings = dict(zip(valued, ranked, strict=True))
    return [
        _comparison(results, parted[number][1], rankings.get(number), grounds) for number, results in enumerate(columns)
    ]


def _comparison(
    results: Sequence[Result], outside: Sequence[Result], ranked: Ranked | None, grounds: Grounds
) -> Comparison:
    measurand, condition = results[0].measurand, results[0].condition
    designs = [_design(grounds, result) for result in results]
    ranks: tuple[Rank, ...] = ()
    if ranked is not None:
        columns = zip(ranked.places, ranked.ties, ranked.results, strict=True)
        ranks = tuple(Rank(place, tied, result) for place, tied, result in columns)
    compared = [_design(grounds, rank.result) for rank in ranks]
    stand = grounds.stands.get(results[0].campaign, Stand())
    mixed = len({design.blades for design in designs}) > 1
    statement = None if ranked is None else ranked.statement
    return Comparison(
        measurand=measurand,
        condition=condition,
        class_name=class_name(designs, grounds.class_edges, across_blades=grounds.across_blades),
        mixed=mixed,
        ranks=ranks,
        absent=(*(result for result in results if result.value is None), *outside),
        pairs=() if ranked is None else ranked.pairs,
        sentences=(),
        better=better_way(measurand, condition),
        notes=comparison_notes(measurand, compared, stand, statement, mixed=mixed),
    )
