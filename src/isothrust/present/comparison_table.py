"""A comparison as a table: places, values of the design, differences from the first, ties."""

from __future__ import annotations

from isothrust.present.flags import flag_notes
from isothrust.present.rounding import with_half_width
from isothrust.present.shown import condition_words, head, measurand_words, shown_value, unit_label
from isothrust.present.table import Mark, Table
from isothrust.records.result import Comparison, Pair, Rank, Result

__all__ = [
    "comparison_legend",
    "comparison_remarks",
    "comparison_table",
    "comparison_title",
    "difference_texts",
    "lone_line",
]

HEADS = ("\nplace", "\ndesign", "", "from the\nfirst [%]", "\ntied with")


def comparison_title(comparison: Comparison) -> str:
    """Return what is compared, at which condition, and which way is better."""
    where = f" {condition_words(comparison.condition)}".rstrip()
    direction = {"more": "more is better", "less": "less is better", None: "greatest first (neither way is better)"}
    name = measurand_words(comparison.measurand)
    return f"{name[:1].upper()}{name[1:]}{where}, {direction[comparison.better]}"


def comparison_legend(standard_density: float) -> str:
    """Return what the figures of a comparison are, and what ± and a tie mean."""
    return (
        f"Figures are in standard air ({standard_density:.4g} kg/m3) unless a line above says otherwise, and of the "
        "design: the mean of all its samples, as far as those tested tell. ± of a value is half its 95 % interval; "
        "± of a difference holds at 95 % for all pairs of a table at once, and designs no further apart are tied."
    )


def comparison_table(comparison: Comparison) -> Table:
    """Return the designs of one class, ranked."""
    heads = tuple(text or head(comparison.measurand) for text in HEADS)
    differences = difference_texts(comparison)
    rows = tuple(_row(rank, difference) for rank, difference in zip(comparison.ranks, differences, strict=True))
    marks: tuple[Mark, ...] = tuple("first" if rank.place == 1 else "body" for rank in comparison.ranks)
    return Table(_class(comparison), heads, rows, frozenset({1, 4}), (), 4, marks)


def comparison_remarks(comparison: Comparison) -> tuple[str, ...]:
    """Return what must be said below a comparison: who is not ranked and why, notes, flags."""
    return (
        *(f"not ranked: {result.design}: {result.absent}" for result in comparison.absent),
        *comparison.notes,
        *flag_notes((rank.result.design, "", rank.result.flags) for rank in comparison.ranks),
    )


def lone_line(comparison: Comparison) -> str:
    """Return the one design of a class that has nobody beside it, with its value."""
    (rank,) = comparison.ranks
    result = rank.result
    value = shown_value(result, result.interval_of_design or result.interval)
    shown = f"{value} {unit_label(comparison.measurand)}".rstrip()
    return f"alone in its class: {result.design}, {shown} ({_class(comparison)})"


def _class(comparison: Comparison) -> str:
    results = [*(rank.result for rank in comparison.ranks), *comparison.absent]
    return f"{comparison.class_name}, {listed_campaigns(results)}"


def listed_campaigns(results: list[Result]) -> str:
    """Return 'campaign spring' or 'campaigns spring, autumn'."""
    names = list(dict.fromkeys(result.campaign for result in results))
    return f"campaign{'s' if len(names) > 1 else ''} {', '.join(names)}"


def _row(rank: Rank, difference: str) -> tuple[str, ...]:
    result = rank.result
    interval = result.interval_of_design or result.interval
    return (str(rank.place), result.design, shown_value(result, interval), difference, ", ".join(rank.tied_with))


def difference_texts(comparison: Comparison) -> list[str]:
    """Return how far each design, in the order of rank, lies from the first, in per cent of it; empty for the first."""
    if not comparison.ranks:
        return []
    first = comparison.ranks[0].result
    # The pairs of the first design come first, in the order of rank.
    pairs = comparison.pairs[: len(comparison.ranks) - 1]
    return ["", *(_signed(pair, first.design, first.value) for pair in pairs)]


def _signed(pair: Pair, first: str, reference: float | None) -> str:
    if not reference:
        return ""
    difference = pair.difference if pair.second == first else -pair.difference
    half = 100.0 * pair.half_width / abs(reference)
    text = with_half_width(100.0 * difference / reference, half, apart=pair.real)
    return text if text.startswith(("-", "0 ")) else f"+{text}"
