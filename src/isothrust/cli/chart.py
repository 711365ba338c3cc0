"""isothrust chart: one chart as a picture, PNG, SVG or PDF."""

from __future__ import annotations

import click

from isothrust.cli.chart_options import Paper, Wanted, paper_options, wanted_options
from isothrust.cli.picture_files import check_free
from isothrust.cli.reducing import computing, jobs_option, reduced_runs, up_to_date
from isothrust.cli.screen import say, show_tables, show_text
from isothrust.cli.session import book_option, book_words, json_option
from isothrust.errors import UsageError, Where
from isothrust.present.charts.canvas import Canvas
from isothrust.present.charts.catalogue import CHARTS, Chart
from isothrust.present.charts.charts_table import charts_table
from isothrust.present.charts.drawing_objects import drawing_objects
from isothrust.present.charts.pictures import picture_of
from isothrust.present.charts.theme import DARK, LIGHT
from isothrust.present.objects import json_text
from isothrust.tables.atomic import write_bytes
from isothrust.tables.nearest import nearest_first
from isothrust.workflows.chart import Drawn, draw_curves, draw_ranking, draw_recording
from isothrust.workflows.chart_sound import draw_bands, draw_sound_map
from isothrust.workflows.chart_steps import draw_steps
from isothrust.workflows.chart_torque import draw_torque
from isothrust.workflows.chart_winding import draw_winding
from isothrust.workflows.reduce import ReduceOutcome

__all__ = ["command"]

OTHERS = 4
"""Other campaigns and classes that are told before they are counted."""


def _list_charts(ctx: click.Context, _: click.Parameter, value: bool) -> None:  # noqa: FBT001 -- by position
    if value:
        show_tables([charts_table()])
        ctx.exit(0)


@click.command("chart", help="Draw one chart as PNG, SVG or PDF; without NAME, list the charts.")
@click.argument("name", metavar="NAME", required=False)
@click.option("--list", is_flag=True, is_eager=True, expose_value=False, callback=_list_charts, help="List the charts.")
@wanted_options
@paper_options
@json_option
@jobs_option
@book_option
def command(
    *,
    name: str | None,
    wanted: Wanted,
    paper: Paper,
    as_json: bool,
    jobs: int | None,
    book: str,
) -> int:
    """Draw the chart, or print what it would show."""
    if name is None:
        show_tables([charts_table()])
        return 0
    chart = _chart(name)
    _check_words(chart, wanted)
    stem = f"{name}-{wanted.run}".replace("/", "-") if wanted.run else name
    path, kind = paper.path(stem)
    if not as_json and not paper.force:
        check_free(path, stem, option="--out")
    outcome = up_to_date(book, jobs)
    with computing(outcome):
        drawn = _drawn(chart, outcome, wanted)
    if as_json:
        show_text(json_text(drawing_objects(drawn.drawing)))
        return 0
    canvas = Canvas(paper.width, paper.height)
    write_bytes(path, picture_of(drawn.drawing, kind, DARK if paper.dark else LIGHT, canvas, name=stem))
    of = ", ".join(filter(None, (f"campaign {drawn.campaign}", drawn.class_name)))
    show_text(f"{path}: {drawn.drawing.caption.title}; {of}; {paper.width} x {paper.height}")
    _tell_others(drawn, name, book)
    return 0


def _chart(name: str) -> Chart:
    if name in CHARTS:
        return CHARTS[name]
    near = nearest_first(name, CHARTS)
    raise UsageError(
        f'there is no chart "{name}"',
        code="unknown-chart",
        where=Where(f"isothrust chart {name}"),
        expected=", ".join(near),
        fix=f"isothrust chart {near[0]},  or  isothrust chart --list",
    )


def _check_words(chart: Chart, wanted: Wanted) -> None:
    """Refuse options that the chart does not take: none is left unread in silence."""
    selection = wanted.selection
    given = {
        "--run": wanted.run,
        "--of": selection.measurands,
        "--at": selection.thrusts or selection.speeds,
        "--design": selection.designs,
        "--class": wanted.class_name,
    }
    foreign = {
        "bands": {"--run", "--of"},
        "curves": {"--run", "--of"},
        "ranking": {"--run"},
        "recording": {"--of", "--at", "--design", "--class"},
        "sound-map": {"--of", "--at", "--design", "--class"},
        "steps": {"--run", "--of", "--at"},
        "torque": {"--run", "--of", "--at"},
        "winding": {"--run", "--of", "--at"},
    }
    unread = [option for option, value in given.items() if value and option in foreign[chart.kind]]
    if chart.by_blades and wanted.class_name:
        unread.append("--class")
    if unread:
        raise UsageError(
            f"the chart {chart.name} does not take {' and '.join(unread)}",
            code="wrong-usage",
            where=Where(f"isothrust chart {chart.name}"),
            expected=chart.about,
            fix=f"leave {' and '.join(unread)} out",
        )
    if chart.kind in {"recording", "sound-map"} and not wanted.run:
        raise UsageError(
            f"a {chart.name} is that of one run, and none is named",
            code="run-needed",
            where=Where(f"isothrust chart {chart.name}"),
            expected="--run RUN, or --run CAMPAIGN/RUN",
            fix="isothrust check  names the runs in which something was found",
        )


def _drawn(chart: Chart, outcome: ReduceOutcome, wanted: Wanted) -> Drawn:
    book, runs = outcome.book, reduced_runs(outcome)
    if chart.kind == "recording":
        assert wanted.run is not None
        return draw_recording(book, runs, wanted.run, wanted.selection)
    if chart.kind == "sound-map":
        assert wanted.run is not None
        return draw_sound_map(book, runs, chart, wanted.run)
    if chart.kind == "bands":
        return draw_bands(book, runs, chart, wanted.selection, wanted.class_name)
    if chart.kind == "ranking":
        return draw_ranking(book, runs, wanted.selection, wanted.class_name)
    if chart.kind == "torque":
        return draw_torque(book, runs, chart, wanted.selection, wanted.class_name)
    if chart.kind == "steps":
        return draw_steps(book, runs, chart, wanted.selection, wanted.class_name)
    if chart.kind == "winding":
        return draw_winding(book, runs, wanted.selection, wanted.class_name)
    return draw_curves(book, runs, chart, wanted.selection, wanted.class_name)


def _tell_others(drawn: Drawn, name: str, book: str) -> None:
    """Say what else the same chart could show, each with the words that ask for it."""
    if not drawn.others:
        return
    say("one class of one campaign is drawn; the others:")
    for scope in drawn.others[:OTHERS]:
        of_class = "" if name == "inflow-ratio" else f' --class "{scope.class_name}"'
        say(f"  isothrust chart {name} --campaign {scope.campaign}{of_class}{book_words(book)}")
    if len(drawn.others) > OTHERS:
        say(f"  and {len(drawn.others) - OTHERS} more")
