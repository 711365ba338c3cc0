"""The page: data, chart specifications, style and scripts put into one file that asks for nothing outside itself."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import jinja2
from markupsafe import Markup

from isothrust.present.charts.catalogue import CHARTS, Chart
from isothrust.present.charts.palette import IDENTITIES
from isothrust.present.comparison_table import (
    comparison_legend,
    comparison_remarks,
    comparison_table,
    comparison_title,
)
from isothrust.present.report.content import Asked, ReportContent, ScopeContent
from isothrust.present.report.engine import ALONE, CURVES, ChartEngine
from isothrust.present.report.facts import campaign_object
from isothrust.present.report.findings_data import findings_object
from isothrust.present.report.scope_data import STATEMENTS, scope_object
from isothrust.present.report.shares import shares_object
from isothrust.records.result import Comparison

__all__ = ["report_html"]

Object = dict[str, Any]
HERE: Final = Path(__file__).parent
SCRIPTS: Final = (
    "state.js",
    "words.js",
    "ranking.js",
    "chooser.js",
    "charts.js",
    "drawing.js",
    "recordings.js",
    "main.js",
)
"""In this order one script: each file may use what stands before it."""
PRINTED: Final[tuple[Asked, ...]] = (
    ("shaft-power", "thrust"),
    ("electrical-power", "thrust"),
    ("thrust", "speed"),
    ("peak-thrust", None),
)
"""What stands as plain tables for a reader without scripts."""


def report_html(content: ReportContent, engine: ChartEngine) -> str:
    """Return the page."""
    designs = content.book.designs
    data: Object = {
        "scopes": [scope_object(scope, designs) for scope in content.scopes],
        "identities": [
            {"light": one.light, "dark": one.dark, "dash": list(one.dash), "shape": one.shape} for one in IDENTITIES
        ],
        "statements": STATEMENTS,
        "charts": {name: _chart_object(CHARTS[name]) for name in _chart_names(content.scopes)},
        "findings": findings_object(content),
    }
    template = _environment().get_template("report.html.j2")
    return template.render(
        title=content.title,
        owner=content.book.owner,
        version=content.version,
        method=max((run.method_version for run in content.runs), default=0),
        density=f"{content.book.standard_density:.4g}",
        designs=len({run.design for run in content.runs}),
        campaigns=[campaign_object(content, name) for name in content.campaigns],
        scopes=[_static_scope(scope) for scope in content.scopes],
        legend=comparison_legend(content.book.standard_density),
        findings=data["findings"],
        data=_json(data),
        charts=_json(_drawn(engine, _chart_names(content.scopes))),
        style=Markup(_text(HERE / "assets" / "report.css")),
        engine=_script(engine.runtime),
        script=_script("\n".join(_text(HERE / "assets" / name) for name in SCRIPTS)),
    )


def _environment() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.FileSystemLoader(HERE / "templates"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def _json(value: object) -> Markup:
    """Return data for a script element; what could end it is written as an escape."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029"))


def _script(text: str) -> Markup:
    assert "</script" not in text.lower()
    return Markup(text)


def _drawn(engine: ChartEngine, names: Sequence[str]) -> Object:
    """Return the specifications, by theme, of some curve charts and of recordings."""
    wanted = (*names, *(f"{name}{ALONE}" for name in names if CHARTS[name].by_blades), "recording")
    return {
        theme: {name: specifications[name] for name in wanted}
        for theme, specifications in engine.specifications.items()
    }


def _chart_names(scopes: Sequence[ScopeContent]) -> list[str]:
    """Return the curve charts that some scope has figures for, in the order of the page."""
    there = {
        asked
        for scope in scopes
        for asked, comparisons in scope.comparisons.items()
        if any(comparison.ranks for comparison in comparisons)
    }
    return [name for name in CURVES if (CHARTS[name].measurand, CHARTS[name].abscissa) in there]


def _chart_object(chart: Chart) -> Object:
    return {
        "title": chart.title,
        "about": chart.about,
        "measurand": chart.measurand,
        "quantity": chart.abscissa,
        "byBlades": chart.by_blades,
    }


def _static_scope(scope: ScopeContent) -> Mapping[str, object]:
    return {
        "campaign": scope.campaign,
        "class": scope.class_name,
        "tables": [_static_table(comparison) for asked in PRINTED for comparison in _printed(scope, asked)],
        "shares": shares_object(scope),
    }


def _printed(scope: ScopeContent, asked: Asked) -> Sequence[Comparison]:
    """Return a measurand's comparisons at the book's own comparison points."""
    comparisons = scope.comparisons.get(asked, ())
    quantity = asked[1]
    shown = (
        comparisons
        if quantity is None
        else [comparisons[index] for index in scope.points.get(quantity, ()) if comparisons]
    )
    return [comparison for comparison in shown if comparison.ranks]


def _static_table(comparison: Comparison) -> Mapping[str, object]:
    table = comparison_table(comparison)
    return {
        "title": comparison_title(comparison),
        "heads": [head.replace("\n", " ").strip() for head in table.heads],
        "rows": table.rows,
        "sentences": comparison.sentences,
        "remarks": comparison_remarks(comparison),
    }
