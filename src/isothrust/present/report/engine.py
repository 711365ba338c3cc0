"""What draws the charts of a page: the engine's script, and every specification compiled for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from isothrust.present.charts.canvas import Canvas
from isothrust.present.charts.catalogue import CHARTS
from isothrust.present.charts.curves import curve_spec
from isothrust.present.charts.recording import recording_spec
from isothrust.present.charts.render import compiled, runtime
from isothrust.present.charts.theme import DARK, LIGHT, Theme

__all__ = ["ALONE", "CURVES", "ChartEngine", "chart_engine"]

CHART_HEIGHT: Final = 340
ALONE: Final = " of one blade count"
"""Added to the name of a chart by blade count: how it looks where there is one count only, by design."""
SNIPPET: Final = "globalThis.embedChart = vegaEmbed;"
"""What the page's own scripts need of the engine."""
FIRST: Final = ("thrust", "shaft-efficiency", "electrical-efficiency", "electrical-power")
CURVES: Final = (*FIRST, *(name for name, one in CHARTS.items() if one.kind == "curves" and name not in FIRST))
"""The curve charts in the order of the page: first what a reader looks for first."""


@dataclass(frozen=True, slots=True)
class ChartEngine:
    """The same for every report of one version of the program."""

    runtime: str
    """A script that needs nothing besides itself."""
    specifications: Mapping[str, Mapping[str, dict[str, Any]]]
    """By theme and chart."""


def chart_engine() -> ChartEngine:
    """Return the engine; it takes seconds, most of them outside Python, so that a thread may do it meanwhile."""
    return ChartEngine(runtime(SNIPPET), {theme.name: _specifications(theme) for theme in (LIGHT, DARK)})


def _specifications(theme: Theme) -> dict[str, dict[str, Any]]:
    charts = {name: CHARTS[name] for name in CURVES}
    charts |= {f"{name}{ALONE}": replace(one, by_blades=False) for name, one in charts.items() if one.by_blades}
    canvas = Canvas(None, CHART_HEIGHT, interactive=True)
    drawn = {name: compiled(curve_spec(chart, theme, canvas)) for name, chart in charts.items()}
    return {**drawn, "recording": compiled(recording_spec(theme, canvas))}
