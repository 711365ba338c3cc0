"""Every chart that can be asked for, as a table."""

from __future__ import annotations

from isothrust.present.charts.catalogue import CHARTS, Chart
from isothrust.present.table import Table

__all__ = ["charts_table"]


def charts_table() -> Table:
    """Return name, axes and purpose of every chart."""
    rows = tuple((chart.name, _axes(chart), chart.about) for chart in CHARTS.values())
    return Table("", ("chart", "axes", "what it is good for"), rows, frozenset(range(3)), (), 2)


def _axes(chart: Chart) -> str:
    if chart.kind in {"curves", "torque"}:
        return f"{chart.y_title.split(' [')[1].rstrip(']')} over {chart.abscissa}"
    return {
        "bands": "dB over Hz",
        "sound-map": "Hz over thrust",
        "ranking": "any figure",
        "recording": "time",
        "steps": "share of a step over time",
        "winding": "gf over KV",
    }[chart.kind]
