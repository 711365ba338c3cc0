"""What a chart shows as plain objects for JSON: one a point of a curve, a design of a ranking, or a reading."""

from __future__ import annotations

from collections.abc import Mapping

from isothrust.present.charts.curve_rows import Row
from isothrust.present.charts.drawing import Drawing

__all__ = ["drawing_objects"]


def drawing_objects(drawing: Drawing) -> list[Row]:
    """Return the rows that are drawn, each value under the title of its axis; what is context has no interval."""
    if drawing.chart.kind == "recording":
        titles = {row["panel"]: str(row["title"]) for row in drawing.datasets["panels"]}
        return [
            {"channel": titles[row["panel"]], "time [s]": row["x"], "value": row["value"]}
            for row in drawing.datasets["trace"]
        ]
    if drawing.chart.kind == "ranking":
        return [
            {"place": row["place"], **_point(row, "", drawing.axis), "told_apart": row["slot"] is not None}
            for row in drawing.datasets["ranks"]
        ]
    x, y = drawing.chart.x_title, drawing.chart.y_title
    return [
        {**_point(row, x, y), "told_apart": name == "chosen"}
        for name in ("chosen", "context")
        for row in drawing.datasets[name]
    ]


def _point(row: Mapping[str, object], x: str, y: str) -> Row:
    """Return a row of a dataset; without a title for x, the row's own x is the value."""
    place = {x: row["x"], y: row["y"]} if x else {y: row["x"]}
    return {"design": row["design"], **place, "interval": [row.get("low"), row.get("high")]}
