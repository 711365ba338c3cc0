"""The datasets of a curve chart out of results at many conditions, in shown units."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from statistics import median
from types import MappingProxyType
from typing import Any, Final

from isothrust.present.charts.catalogue import Chart
from isothrust.present.shown import in_shown_unit
from isothrust.records.result import Result

__all__ = ["REACH", "Row", "curve_datasets", "is_cut", "shown_number"]

Row = dict[str, object]
DIGITS: Final = 6
"""Significant digits: far finer than a pixel."""
REACH: Final = 4
"""Usual half-widths of a band that a chart makes room for at most; what is wider may be cut off at its frame."""
VISIBLE: Final = 0.01
"""Of the frame: what is cut off by less than that, nobody sees."""
_NO_GROUPS: Final[Mapping[str, int]] = MappingProxyType({})


def shown_number(measurand: str, value: float | None) -> float | None:
    """Return an SI value in the shown unit, to the digits that a picture can show; None stays None."""
    return None if value is None else float(f"{in_shown_unit(measurand, value):.{DIGITS}g}")


def curve_datasets(
    chart: Chart,
    results: Iterable[Result],
    slots: Mapping[str, int],
    *,
    point: float | None = None,
    groups: Mapping[str, int] = _NO_GROUPS,
    labels: Mapping[str, str] = MappingProxyType({}),
) -> dict[str, list[Row]]:
    """Return the chart's datasets.

    Parameters
    ----------
    chart
        A curve chart.
    results
        Of its measurand, at conditions of its abscissa; of any designs.
    slots
        Designs that are told apart, with their identities; the others are context.
    point
        The comparison point, SI, where there is one.
    groups
        Identities that context is coloured by, where it is told apart in groups.
    labels
        What stands at a line's end where it is not the design's name.
    """
    assert chart.measurand is not None
    assert chart.abscissa is not None
    by_design: dict[str, list[Result]] = {}
    for result in results:
        by_design.setdefault(result.design, []).append(result)
    context: list[Row] = []
    chosen: list[Row] = []
    ends: list[Row] = []
    for design, curve in by_design.items():
        rows = _between_ends(_row(chart.measurand, result) for result in curve)
        if not rows:
            continue
        if design not in slots:
            group = {"slot": groups[design]} if design in groups else {}
            context += [{"design": design, **group, "x": row["x"], "y": row["y"]} for row in rows]
            continue
        told = {"design": design, "slot": slots[design]}
        chosen += [{**told, **row} for row in rows]
        label = {"label": labels[design]} if design in labels else {}
        ends.append({**told, "x": rows[-1]["x"], "y": rows[-1]["y"], **label})
    points = [] if point is None else [{"x": shown_number(chart.abscissa, point)}]
    return {"context": context, "chosen": chosen, "ends": ends, "point": points}  # type: ignore[dict-item]


def is_cut(chosen: Sequence[Mapping[str, Any]]) -> bool:
    """Say whether some band leaves the frame that the lines and bands of usual width need."""
    valued = [(row["y"], row["low"], row["high"]) for row in chosen if row["low"] is not None]
    if not valued:
        return False
    reach = REACH * median((high - low) / 2.0 for _, low, high in valued)
    floor = min(y - min(reach, (high - low) / 2.0) for y, low, high in valued)
    roof = max(y + min(reach, (high - low) / 2.0) for y, low, high in valued)
    seen = VISIBLE * (roof - floor)
    return any(low < floor - seen or high > roof + seen for _, low, high in valued)


def _row(measurand: str, result: Result) -> Row:
    assert result.condition is not None
    interval = result.interval_of_design or result.interval or (None, None)
    return {
        "x": shown_number(result.condition.quantity, result.condition.value),
        "y": shown_number(measurand, result.value),
        "low": shown_number(measurand, interval[0]) if result.value is not None else None,
        "high": shown_number(measurand, interval[1]) if result.value is not None else None,
    }


def _between_ends(rows: Iterable[Row]) -> Sequence[Row]:
    """Leave out what lies before the first and after the last point of a curve; a gap between them stays."""
    kept = list(rows)
    valued = [number for number, row in enumerate(kept) if row["y"] is not None]
    return kept[valued[0] : valued[-1] + 1] if valued else []
