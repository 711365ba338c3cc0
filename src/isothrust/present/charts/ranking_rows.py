"""The datasets of a ranking out of a comparison, in shown units."""

from __future__ import annotations

from collections.abc import Mapping

from isothrust.present.charts.curve_rows import Row, shown_number
from isothrust.present.sentences import tied_stretches
from isothrust.records.result import Comparison, Rank

__all__ = ["ranking_datasets"]


def ranking_datasets(comparison: Comparison, slots: Mapping[str, int]) -> dict[str, list[Row]]:
    """Return the designs in the order of rank, and a bar for each stretch of them within which nobody differs."""
    labels = {rank.result.design: _label(rank) for rank in comparison.ranks}
    ranks = [_row(comparison.measurand, rank, slots) for rank in comparison.ranks]
    ties: list[Row] = []
    taken: list[int] = []
    order = list(labels)
    for stretch in tied_stretches(comparison):
        first, last = order.index(stretch[0]), order.index(stretch[-1])
        lane = next((number for number, end in enumerate(taken) if end < first), len(taken))
        taken[lane : lane + 1] = [last]
        ties.append({"first": labels[stretch[0]], "last": labels[stretch[-1]], "lane": lane})
    return {"ranks": ranks, "ties": ties}


def _label(rank: Rank) -> str:
    return f"{rank.place}  {rank.result.design}"


def _row(measurand: str, rank: Rank, slots: Mapping[str, int]) -> Row:
    result = rank.result
    low, high = result.interval_of_design or result.interval or (None, None)
    return {
        "label": _label(rank),
        "design": result.design,
        "place": rank.place,
        "slot": slots.get(result.design),
        "x": shown_number(measurand, result.value),
        "low": shown_number(measurand, low),
        "high": shown_number(measurand, high),
    }
