"""What the uncertainty of a figure is made of: at the comparison point, source by source, for each design."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from isothrust.present.report.content import Asked, ScopeContent
from isothrust.present.rounding import with_digits
from isothrust.present.shown import condition_words, measurand_words
from isothrust.records.reduced import Contribution
from isothrust.records.result import Comparison, Result

__all__ = ["SHOWN_BUDGETS", "shares_object"]

Object = dict[str, object]
SHOWN_BUDGETS: Final[tuple[Asked, ...]] = (
    ("shaft-power", "thrust"),
    ("electrical-power", "thrust"),
    ("thrust", "speed"),
)
"""Measurands whose uncertainty is taken apart: the first that the scope has."""
SCOPES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "rig": "rig",
        "campaign": "campaign",
        "run": "runs",
        "mounting": "mounting",
        "sample": "samples",
    }
)


def shares_object(scope: ScopeContent) -> Object | None:
    """Return each design's relative standard uncertainty by scope; None where no figure has a budget."""
    for asked in SHOWN_BUDGETS:
        comparisons = scope.comparisons.get(asked, ())
        quantity = asked[1]
        if quantity is None or not comparisons:
            continue
        comparison = comparisons[scope.start.get(quantity, 0)]
        if any(rank.result.budget for rank in comparison.ranks):
            return _shares(comparison)
    return None


def _shares(comparison: Comparison) -> Object:
    results = [rank.result for rank in comparison.ranks]
    most = max((_relative(_together(_lines(result)), result) for result in results), default=0.0)
    there = [name for name in SCOPES if any(_part(result, name) for result in results)]
    return {
        "title": f"{measurand_words(comparison.measurand)} {condition_words(comparison.condition)}",
        "heads": [SCOPES[name] for name in there],
        "rows": [
            {
                "design": result.design,
                "parts": [_cell(_part(result, name), result, most) for name in there],
                "all": _cell(_together(_lines(result)), result, most),
            }
            for result in results
        ],
    }


def _lines(result: Result) -> Sequence[Contribution]:
    return (*result.budget, *result.sample_contributions)


def _part(result: Result, scope: str) -> float:
    return _together([line for line in _lines(result) if line.scope == scope])


def _together(lines: Sequence[Contribution]) -> float:
    """Return the root of the sum of squares over keys; lines of one key add up first."""
    by_key: dict[str, float] = {}
    for line in lines:
        by_key[line.key] = by_key.get(line.key, 0.0) + line.contribution
    return math.sqrt(math.fsum(value**2 for value in by_key.values()))


def _cell(uncertainty: float, result: Result, most: float) -> Object:
    """Return a cell's text, and how long its bar is in per cent of the longest."""
    relative = _relative(uncertainty, result)
    text = with_digits(100.0 * relative, 2) if relative else "–"
    return {"text": text if result.value else "", "bar": round(100.0 * relative / most) if most else 0}


def _relative(uncertainty: float, result: Result) -> float:
    return uncertainty / abs(result.value) if result.value else 0.0
