"""Specifications: valid, labelled with quantity and unit, never more than eight told apart."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from isothrust.present.charts.canvas import Canvas, Caption
from isothrust.present.charts.catalogue import CHARTS, axis_title
from isothrust.present.charts.curves import CURVE_DATA, curve_spec
from isothrust.present.charts.drawing import Drawing, drawing_spec
from isothrust.present.charts.palette import IDENTITIES
from isothrust.present.charts.ranking import RANKING_DATA, ranking_spec
from isothrust.present.charts.recording import recording_spec
from isothrust.present.charts.recording_data import RECORDING_DATA
from isothrust.present.charts.render import compiled
from isothrust.present.charts.sound_bands import bands_spec
from isothrust.present.charts.sound_map import map_spec
from isothrust.present.charts.theme import DARK, LIGHT, Theme
from isothrust.present.charts.torque_speed import torque_spec
from isothrust.quantities import MEASURANDS
from isothrust.records.picture import Span
from support.drawings import (
    curve_drawing,
    ranking_drawing,
    recording_drawing,
    sound_drawing,
    step_drawing,
    torque_drawing,
    winding_drawing,
)

SPIKE = Span("spikes", "warning", "thrust", 3.0, 3.0, "five readings stand out")
CURVES = [name for name, chart in CHARTS.items() if chart.kind == "curves"]
CANVASES = {"file": Canvas(1600, 900), "page": Canvas(None, 420, interactive=True)}


def drawing_of(name: str) -> Drawing:
    if name == "ranking":
        return ranking_drawing()
    if name == "torque-speed":
        return torque_drawing()
    if name == "thrust-over-kv":
        return winding_drawing()
    if name in {"bands", "sound-map"}:
        return sound_drawing(name)
    if name.startswith("step-"):
        return step_drawing(name)
    return recording_drawing(SPIKE) if name == "recording" else curve_drawing(name)


def empty_spec(name: str, theme: Theme, canvas: Canvas) -> dict[str, Any]:
    """What a page gets: the specification before it is filled."""
    chart = CHARTS[name]
    if chart.kind == "ranking":
        return ranking_spec("Shaft power [W]", theme, canvas)
    if chart.kind == "recording":
        return recording_spec(theme, canvas)
    if chart.kind == "bands":
        return bands_spec(chart, theme, canvas, label_room=120.0)
    if chart.kind == "sound-map":
        return map_spec(chart, "Thrust [gf]", theme, canvas)
    if chart.kind == "torque":
        return torque_spec(chart, theme, canvas, label_room=120.0)
    return curve_spec(chart, theme, canvas, label_room=120.0)


def parts(node: object) -> Iterator[dict[str, Any]]:
    if isinstance(node, dict):
        yield node
        for value in node.values():
            yield from parts(value)
    elif isinstance(node, list):
        for value in node:
            yield from parts(value)


@pytest.fixture(scope="module")
def schema() -> Any:
    """What holds a specification to the schema of the drawing library, as its Python interface ships it."""
    import altair as alt
    import jsonschema

    return jsonschema.Draft7Validator(alt.load_schema())


@pytest.mark.parametrize(("theme", "canvas"), [(LIGHT, "file"), (DARK, "page")], ids=["light file", "dark page"])
@pytest.mark.parametrize("name", CHARTS)
def test_specification_meets_the_schema(schema: Any, name: str, theme: Theme, canvas: str) -> None:
    for spec in (drawing_spec(drawing_of(name), theme, Canvas(800, 600)), empty_spec(name, theme, CANVASES[canvas])):
        schema.validate(spec)


def test_the_witness_does_refuse_what_is_wrong(schema: Any) -> None:
    spec = empty_spec("thrust", LIGHT, CANVASES["file"])
    assert schema.is_valid(spec)
    spec["layer"][0]["mark"]["type"] = "squiggle"
    assert not schema.is_valid(spec)


@pytest.mark.parametrize("name", CURVES)
def test_both_axes_of_a_curve_say_quantity_and_unit(name: str) -> None:
    chart = CHARTS[name]
    assert chart.measurand is not None
    assert chart.abscissa is not None
    titles = {part["title"] for part in compiled(empty_spec(name, LIGHT, CANVASES["file"]))["axes"] if "title" in part}
    assert titles == {axis_title(chart.abscissa), axis_title(chart.measurand)}
    for measurand in (chart.abscissa, chart.measurand):
        assert axis_title(measurand).endswith(f" [{MEASURANDS[measurand].label}]")


def test_axes_of_ranking_and_recording_say_quantity_and_unit() -> None:
    axes = compiled(empty_spec("ranking", LIGHT, CANVASES["file"]))["axes"]
    assert {axis["title"] for axis in axes if "title" in axis} == {"Shaft power [W]"}
    axes = compiled(empty_spec("recording", LIGHT, CANVASES["file"]))["axes"]
    assert {axis["title"] for axis in axes if "title" in axis} == {"Time [s]"}
    titles = [row["title"] for row in recording_drawing().datasets["panels"]]
    assert titles == ["Throttle [%]", "Speed [rpm]", "Thrust [gf]", "Torque [N m]"]


@pytest.mark.parametrize("name", [*CURVES, "ranking"])
def test_no_scale_tells_more_than_eight_apart(name: str) -> None:
    spec = empty_spec(name, LIGHT, CANVASES["file"])
    scales = [part["scale"] for part in parts(spec) if part.get("field") == "slot"]
    assert scales
    for scale in scales:
        assert scale["domain"] == list(range(8))
        assert len({json.dumps(drawn) for drawn in scale["range"]}) == 8


@pytest.mark.parametrize("name", CURVES)
def test_identity_is_carried_by_colour_dash_and_marker_at_once(name: str) -> None:
    told = {channel for part in parts(empty_spec(name, LIGHT, CANVASES["file"])["layer"]) for channel in part}
    assert {"color", "strokeDash", "shape"} <= told


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
@pytest.mark.parametrize("name", [*CURVES, "ranking"])
def test_colours_are_those_of_the_theme(name: str, theme: Theme) -> None:
    spec = compiled(empty_spec(name, theme, CANVASES["file"]))
    (scale,) = [one for one in spec["scales"] if one["name"] == "color"]
    assert scale["range"] == [getattr(identity, theme.name) for identity in IDENTITIES]
    assert spec["background"] == theme.background


def test_datasets_are_named_and_empty_until_they_are_filled() -> None:
    for name, expected in (("thrust", CURVE_DATA), ("ranking", RANKING_DATA), ("recording", RECORDING_DATA)):
        spec = empty_spec(name, LIGHT, CANVASES["page"])
        assert spec["datasets"] == {dataset: [] for dataset in expected}
        sources = {data["name"] for data in compiled(spec)["data"]}
        assert set(expected) <= sources, "a page fills them by these names"


def test_slow_curves_do_not_begin_at_zero_and_quantities_that_grow_from_nothing_do() -> None:
    def zero(name: str) -> bool:
        (scale,) = [one for one in compiled(empty_spec(name, LIGHT, CANVASES["file"]))["scales"] if one["name"] == "y"]
        return bool(scale["zero"])

    assert zero("thrust")
    assert zero("electrical-power")
    assert not zero("thrust-coefficient")
    assert not zero("shaft-efficiency")


def test_a_caption_is_wrapped_to_the_width() -> None:
    long = " ".join(["many words about what is shown"] * 12)
    drawing = Drawing(CHARTS["thrust"], Caption("Title", (long,)), curve_drawing("thrust").datasets)
    wide, narrow = (len(drawing_spec(drawing, LIGHT, Canvas(w, 600))["title"]["subtitle"]) for w in (1920, 640))
    assert 1 < wide < narrow


def test_only_a_page_has_what_the_pointer_needs() -> None:
    def selects(canvas: str) -> bool:
        return any("select" in part for part in parts(empty_spec("thrust", LIGHT, CANVASES[canvas])))

    assert selects("page")
    assert not selects("file")
