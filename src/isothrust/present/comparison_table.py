"""A comparison as a table: places, values of the design, differences from the first, ties."""

from __future__ import annotations

from isothrust.present.flags import flag_notes
from isothrust.present.rounding import with_half_width
from isothrust.present.shown import condition_words, head, measurand_words, shown_value
from isothrust.present.table import Mark, Table
from isothrust.records.result import Comparison, Pair, Rank, Result

__all__ = ["COMPARISON_LEGEND", "comparison_table"]

COMPARISON_LEGEND = (
    "± of a value is half its 95 % interval; ± of a difference holds at 95 % for all pairs of a table at once. "
    "Designs whose difference is within it are tied."
)
HEADS = ("\nplace", "\ndesign", "", "from the\nfirst [%]", "\ntied with")


def comparison_table(comparison: Comparison) -> Table:
    """Return the comparison as a table, with absent designs, flags and notes below it."""
    heads = tuple(text or head(comparison.measurand) for text in HEADS)
    # A design alone in its class has nobody beside it: the sentence says so, and a table would say no more.
    rows = tuple(_row(comparison, rank) for rank in comparison.ranks) if len(comparison.ranks) > 1 else ()
    marks: tuple[Mark, ...] = tuple(
        "first" if rank.place == 1 else "body" for rank, _ in zip(comparison.ranks, rows, strict=False)
    )
    below = (
        *(f"not ranked: {result.design}: {result.absent}" for result in comparison.absent),
        *comparison.notes,
        *flag_notes((rank.result.design, "", rank.result.flags) for rank in comparison.ranks),
    )
    return Table(_title(comparison), heads, rows, frozenset({1, 4}), below, 4, marks)


def _title(comparison: Comparison) -> str:
    results = [*(rank.result for rank in comparison.ranks), *comparison.absent]
    campaigns = listed_campaigns(results)
    where = f" {condition_words(comparison.condition)}".rstrip()
    direction = {"more": "more is better", "less": "less is better", None: "greatest first (neither way is better)"}
    name = measurand_words(comparison.measurand)
    return f"{name[:1].upper()}{name[1:]}{where}, {direction[comparison.better]}\n{comparison.class_name}, {campaigns}"


def listed_campaigns(results: list[Result]) -> str:
    """Return 'campaign spring' or 'campaigns spring, autumn'."""
    names = list(dict.fromkeys(result.campaign for result in results))
    return f"campaign{'s' if len(names) > 1 else ''} {', '.join(names)}"


def _row(comparison: Comparison, rank: Rank) -> tuple[str, ...]:
    result = rank.result
    interval = result.interval_of_design or result.interval
    first = comparison.ranks[0].result.design
    difference = "" if result.design == first else _difference(comparison, result.design, first)
    return (str(rank.place), result.design, shown_value(result, interval), difference, ", ".join(rank.tied_with))


def _difference(comparison: Comparison, design: str, first: str) -> str:
    """Return how far a design lies from the first, in per cent of the first."""
    for pair in comparison.pairs:
        if {pair.first, pair.second} == {design, first}:
            return _signed(pair, first, comparison.ranks[0].result.value)
    return ""


def _signed(pair: Pair, first: str, reference: float | None) -> str:
    if not reference:
        return ""
    difference = pair.difference if pair.second == first else -pair.difference
    half = 100.0 * pair.half_width / abs(reference)
    text = with_half_width(100.0 * difference / reference, half, apart=pair.real)
    return text if text.startswith(("-", "0 ")) else f"+{text}"
