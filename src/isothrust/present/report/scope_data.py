"""One class of one campaign as plain data: curves as columns, rankings by condition, numbers as `--json` has them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from isothrust.present.comparison_table import difference_texts
from isothrust.present.flags import flag_notes
from isothrust.present.objects import plain_number
from isothrust.present.report.content import Asked, Quantity, ScopeContent
from isothrust.present.shown import condition_words, in_shown_unit, measurand_words, shown_value, unit_label
from isothrust.records.book import Design
from isothrust.records.result import Comparison, Condition, Interval, Rank, Result

__all__ = ["STATEMENTS", "asked_name", "scope_object"]

Object = dict[str, object]
STATEMENTS: Final = ("of the design", "as tested, these samples only", "of the design, or else as tested")
"""What an interval may be about; the last where designs of one ranking differ in it."""


def asked_name(measurand: str, quantity: Quantity | None) -> str:
    """Return the name under which the page keeps a measurand: 'shaft-power at thrust', or 'peak-thrust'."""
    return measurand if quantity is None else f"{measurand} at {quantity}"


def scope_object(scope: ScopeContent, designs: Mapping[str, Design]) -> Object:
    """Return everything the page shows of one class of one campaign."""
    names = list(scope.designs)
    return {
        "campaign": scope.campaign,
        "class": scope.class_name,
        "designs": names,
        "blades": [designs[name].blades if name in designs else None for name in names],
        "grids": {quantity: _grid(scope, quantity) for quantity in scope.grids},
        "figures": {
            asked_name(*asked): _figure(asked, comparisons, names)
            for asked, comparisons in scope.comparisons.items()
            if _any_value(comparisons)
        },
        "missing": {
            measurand_words(asked[0]): reason
            for asked, comparisons in scope.comparisons.items()
            if not _any_value(comparisons) and (reason := _reason(comparisons))
        },
    }


def _grid(scope: ScopeContent, quantity: Quantity) -> Object:
    values = scope.grids[quantity]
    conditions = [Condition(quantity, value) for value in values]
    return {
        "unit": unit_label(quantity),
        "values": [plain_number(in_shown_unit(quantity, value)) for value in values],
        "words": [condition_words(condition) for condition in conditions],
        "start": scope.start.get(quantity, 0),
        "points": list(scope.points.get(quantity, ())),
    }


def _any_value(comparisons: Sequence[Comparison]) -> bool:
    return any(comparison.ranks for comparison in comparisons)


def _reason(comparisons: Sequence[Comparison]) -> str:
    """Return why no design has the figure: the reason most of them give."""
    reasons = [result.absent or "" for comparison in comparisons for result in comparison.absent]
    return max(dict.fromkeys(reasons), key=reasons.count, default="")


def _figure(asked: Asked, comparisons: Sequence[Comparison], names: Sequence[str]) -> Object:
    measurand, quantity = asked
    words = measurand_words(measurand)
    results = [_by_design(comparison) for comparison in comparisons]
    columns = [[found.get(name) for found in results] for name in names]
    return {
        "measurand": measurand,
        "words": words,
        "title": f"{words[:1].upper()}{words[1:]}",
        "unit": unit_label(measurand),
        "quantity": quantity,
        "better": comparisons[0].better,
        "value": [[_value(result) for result in column] for column in columns],
        "low": [[_end(result, 0) for result in column] for column in columns],
        "high": [[_end(result, 1) for result in column] for column in columns],
        "statement": [_statement(found) for found in results],
        "ranks": [_ranks(comparison, names) for comparison in comparisons],
        "said": [" ".join(comparison.sentences) for comparison in comparisons],
        **_notes(comparisons),
    }


def _notes(comparisons: Sequence[Comparison]) -> Object:
    """Return what must be said below each ranking: every text once, and for each ranking which of them."""
    below = [
        (*one.notes, *flag_notes((rank.result.design, "", rank.result.flags) for rank in one.ranks))
        for one in comparisons
    ]
    texts = {text: number for number, text in enumerate(dict.fromkeys(text for notes in below for text in notes))}
    return {"notes": list(texts), "noted": [[texts[text] for text in notes] for notes in below]}


def _by_design(comparison: Comparison) -> dict[str, Result]:
    return {rank.result.design: rank.result for rank in comparison.ranks}


def _interval(result: Result) -> Interval | None:
    return result.interval_of_design or result.interval


def _value(result: Result | None) -> float | None:
    if result is None or result.value is None:
        return None
    return plain_number(in_shown_unit(result.measurand, result.value))


def _end(result: Result | None, end: int) -> float | None:
    interval = None if result is None else _interval(result)
    if result is None or interval is None:
        return None
    return plain_number(in_shown_unit(result.measurand, interval[end]))


def _statement(found: Mapping[str, Result]) -> int | None:
    """Return what the intervals of a ranking are: the place in `STATEMENTS`; None where there are none."""
    kinds = {result.interval_of_design is not None for result in found.values()}
    if not kinds:
        return None
    return 2 if len(kinds) == 2 else int(kinds == {False})


def _ranks(comparison: Comparison, names: Sequence[str]) -> Object:
    """Return one ranking as columns: who stands where, with the words of the table and a set of bits for the ties."""
    number = {name: index for index, name in enumerate(names)}
    ranks = comparison.ranks
    return {
        "order": [number[rank.result.design] for rank in ranks],
        "place": [rank.place for rank in ranks],
        "text": [shown_value(rank.result, _interval(rank.result)) for rank in ranks],
        "apart": difference_texts(comparison),
        "tied": [_bits(rank, number) for rank in ranks],
        "absent": {str(number[result.design]): result.absent for result in comparison.absent},
    }


def _bits(rank: Rank, number: Mapping[str, int]) -> str:
    """Return the designs tied with one as hexadecimal bits, the first design in the lowest bit."""
    return f"{sum(1 << number[name] for name in rank.tied_with):x}"
