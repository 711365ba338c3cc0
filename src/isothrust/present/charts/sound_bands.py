"""One-third octaves at equal thrust: where in the spectrum one propeller is louder than another."""

from __future__ import annotations

import math
from collections.abc import Mapping

from isothrust.present.charts.canvas import Canvas, Caption, Spec
from isothrust.present.charts.captions import DOT, Subject
from isothrust.present.charts.catalogue import Chart
from isothrust.present.charts.curve_rows import Row
from isothrust.present.charts.curves import curve_spec
from isothrust.present.charts.theme import Theme
from isothrust.present.shown import condition_words
from isothrust.records.recording import Floats
from isothrust.records.result import Condition

__all__ = ["bands_caption", "bands_datasets", "bands_spec"]

_TICKS = (31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16000)


def bands_datasets(
    centres: Floats, levels: Mapping[str, Floats], slots: Mapping[str, int], others: Mapping[str, Floats]
) -> dict[str, list[Row]]:
    """Return the datasets of a band chart: level over mid-band frequency by design, a gap where it is not known."""
    chosen: list[Row] = []
    ends: list[Row] = []
    for design, slot in slots.items():
        if design not in levels:
            continue
        rows = [
            {"design": design, "slot": slot, **row, "low": None, "high": None} for row in _rows(centres, levels[design])
        ]
        chosen += rows
        known = [row for row in rows if row["y"] is not None]
        ends += [{name: known[-1][name] for name in ("design", "slot", "x", "y")}] if known else []
    context = [{"design": design, **row} for design, each in others.items() for row in _rows(centres, each)]
    return {"context": context, "chosen": chosen, "ends": ends, "point": []}


def _rows(centres: Floats, levels: Floats) -> list[Row]:
    pairs = zip(centres.tolist(), levels.tolist(), strict=True)
    return [{"x": round(x, 1), "y": round(y, 2) if math.isfinite(y) else None} for x, y in pairs]


def bands_caption(chart: Chart, subject: Subject, condition: Condition, absent: Mapping[str, str]) -> Caption:
    """Return the caption; `absent`: designs that are not shown, with the reason."""
    who = DOT.join((f"Campaign {subject.campaign}", subject.class_name, condition_words(condition)))
    notes = ["Levels without weighting, the background taken out; a gap: hidden by it, or narrower than is resolved."]
    if absent:
        design, why = next(iter(absent.items()))
        more = f", and {len(absent) - 1} more" if len(absent) > 1 else ""
        notes.append(f"Not shown: {design} ({why}){more}.")
    return Caption(
        chart.title, (who, "Speed at which the thrust is reached at standard density, air of the day."), tuple(notes)
    )


def bands_spec(
    chart: Chart, theme: Theme, canvas: Canvas, *, caption: Caption | None = None, label_room: float = 0.0
) -> Spec:
    """Return the specification: a curve chart over a logarithmic axis of frequency."""
    spec = curve_spec(chart, theme, canvas, caption=caption, label_room=label_room)
    for layer in spec["layer"]:
        mark = layer.get("mark")
        if isinstance(mark, dict) and mark.get("type") == "line":
            mark["interpolate"] = "step"  # a band has one level, not a course between its neighbours
        x = layer.get("encoding", {}).get("x", {})
        if x.get("field") == "x":
            x["scale"] = {"type": "log", "nice": False}
            if "axis" in x:
                x["axis"] = {**x["axis"], "values": list(_TICKS), "grid": True, "format": "~s"}
                x["axis"].pop("tickCount", None)
    return spec
