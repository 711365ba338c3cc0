"""Pictures: of exactly the size asked for, offline, with readable words that do not lie on one another."""

from __future__ import annotations

import json
import re
import struct
import xml.etree.ElementTree as ET
import zlib
from dataclasses import replace
from itertools import pairwise

import pytest

from isothrust.present.charts import render
from isothrust.present.charts.canvas import Canvas
from isothrust.present.charts.catalogue import CHARTS
from isothrust.present.charts.drawing import Drawing, drawing_spec
from isothrust.present.charts.pictures import picture_of
from isothrust.present.charts.signature import is_chart
from isothrust.present.charts.theme import DARK, LIGHT
from isothrust.records.picture import Span
from support.drawings import (
    NAMES,
    Word,
    curve_drawing,
    ranking_drawing,
    recording_drawing,
    sound_drawing,
    step_drawing,
    torque_drawing,
    winding_drawing,
    words,
)

SPANS = (
    Span("zero-drift", "note", "torque", 0.0, 10.0, "the zero moved"),
    Span("spikes", "warning", "thrust", 9.9, 9.9, "one reading"),
    Span("clock-backward", "fail", None, 4.0, 5.0, "the clock steps back"),
)


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
    return recording_drawing(*SPANS) if name == "recording" else curve_drawing(name)


def drawn(drawing: Drawing, width: int = 1600, height: int = 900) -> list[Word]:
    return words(render.svg(drawing_spec(drawing, LIGHT, Canvas(width, height))))


def chunks(png: bytes) -> dict[bytes, bytes]:
    """Chunks of a PNG by type (ISO/IEC 15948, 5.3), each with its check sum verified."""
    found, at = {}, 8
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        kind, data = png[at + 4 : at + 8], png[at + 8 : at + 8 + length]
        (check,) = struct.unpack(">I", png[at + 8 + length : at + 12 + length])
        assert check == zlib.crc32(kind + data)
        found[kind] = data
        at += 12 + length
    return found


@pytest.mark.parametrize("size", [(1920, 1080), (800, 600), (390, 844)])
@pytest.mark.parametrize("name", ["thrust", "inflow-ratio", "shaft-efficiency", "ranking", "recording"])
def test_png_has_exactly_the_pixels_asked_for(name: str, size: tuple[int, int]) -> None:
    picture = picture_of(drawing_of(name), "png", LIGHT, Canvas(*size), name=name)
    assert picture.startswith(b"\x89PNG\r\n\x1a\n")
    assert struct.unpack(">II", chunks(picture)[b"IHDR"][:8]) == size


@pytest.mark.parametrize("kind", ["png", "svg", "pdf"])
def test_a_picture_is_known_again_as_that_of_its_chart_and_of_no_other(kind: str) -> None:
    picture = picture_of(drawing_of("thrust"), kind, DARK, Canvas(640, 480), name="thrust")  # type: ignore[arg-type]
    assert is_chart(picture, "thrust")
    assert not is_chart(picture, "thrust-coefficient")
    assert not is_chart(b"\x89PNG\r\n\x1a\n somebody else's holiday", "thrust")


@pytest.mark.parametrize("name", CHARTS)
def test_svg_holds_title_axes_and_every_design(name: str) -> None:
    svg = picture_of(drawing_of(name), "svg", LIGHT, Canvas(1600, 900), name=name).decode()
    ET.fromstring(svg)
    texts = {" ".join(word.text.split()) for word in words(svg)}
    assert "What is shown" in texts
    if name == "recording":
        assert {"Thrust [gf]", "Torque [N m]", "Time [s]"} <= texts
        assert "warning: spikes in thrust, at 9.9 s" in texts
    elif name == "sound-map":
        assert {"Thrust [gf]", CHARTS[name].y_title, "blades", "2 x blades", "1/rev"} <= texts
    elif name == "ranking":
        assert {f"{place} {design}" for place, design in zip((1, 1, 2, 3), NAMES, strict=False)} <= texts
        assert "Shaft power [W]" in texts
    else:
        assert {*NAMES[:3], CHARTS[name].x_title, CHARTS[name].y_title} <= texts


def test_the_motors_lines_carry_their_throttles() -> None:
    texts = {word.text for word in drawn(torque_drawing())}
    assert {"50 %", "100 %"} <= texts


def test_pdf_embeds_its_letters() -> None:
    picture = picture_of(drawing_of("thrust"), "pdf", LIGHT, Canvas(1600, 900), name="thrust")
    assert picture.startswith(b"%PDF-")
    assert b"%%EOF" in picture[-1024:]
    # ISO 32000-1, 9.9: a font program inside the file stands under FontFile, FontFile2 or FontFile3
    inside = [picture, *(inflated(stream) for stream in re.findall(rb"stream\r?\n(.*?)endstream", picture, re.DOTALL))]
    assert any(re.search(rb"/FontFile[23]?\b", part) for part in inside)
    (box,) = {match for part in inside for match in re.findall(rb"/MediaBox\s*\[([^\]]+)\]", part)}
    width, height = [float(number) for number in box.split()][2:]
    assert width / height == pytest.approx(1600 / 900, rel=0.01)


def inflated(stream: bytes) -> bytes:
    try:
        return zlib.decompress(stream.rstrip(b"\r\n"))
    except zlib.error:
        return stream


@pytest.mark.parametrize("height", [480, 900])
@pytest.mark.parametrize("spread", [0.0, 0.002, 0.05])
def test_labels_of_line_ends_stand_apart_in_the_order_of_the_lines_and_inside(spread: float, height: int) -> None:
    drawing = curve_drawing("thrust-coefficient", designs=10, told_apart=8, spread=spread)
    labels = [word for word in drawn(drawing, height=height) if word.text in NAMES]
    assert {word.text for word in labels} == set(NAMES[:8])
    from_below = sorted(labels, key=lambda word: -word.y)
    for low, high in pairwise(from_below):
        assert low.y - high.y >= 1.05 * low.size
    assert max(word.y for word in labels) < height
    assert min(word.y for word in labels) > 0
    if spread:
        assert [word.text for word in from_below] == list(NAMES[:8])


def test_a_label_that_nothing_disturbs_stands_beside_its_line() -> None:
    drawing = curve_drawing("thrust-coefficient", designs=2, told_apart=2, spread=0.3)
    texts = drawn(drawing)
    labels = {word.text: word for word in texts if word.text in NAMES}
    ticks = [word for word in texts if tick(word.text)]
    first, last = ticks[0], ticks[-1]
    ends = {str(row["design"]): float(str(row["y"])) for row in drawing.datasets["ends"]}
    for design, label in labels.items():
        share = (ends[design] - float(first.text)) / (float(last.text) - float(first.text))
        expected = first.y + share * (last.y - first.y)
        assert label.y == pytest.approx(expected, abs=0.5 * label.size)


def tick(text: str) -> bool:
    return re.fullmatch(r"\d\.\d+", text) is not None


@pytest.mark.parametrize("designs", [4, 10])
def test_names_of_a_ranking_do_not_overlap(designs: int) -> None:
    labels = [word for word in drawn(ranking_drawing(designs), 800, 600) if word.text.split(" ")[-1] in NAMES]
    assert len(labels) == designs
    for above, below in pairwise(sorted(labels, key=lambda word: word.y)):
        assert below.y - above.y >= above.size


@pytest.mark.parametrize("width", [390, 1600])
def test_names_of_findings_do_not_overlap_and_begin_inside(width: int) -> None:
    named = [word for word in drawn(recording_drawing(*SPANS), width) if re.match("(fail|warning|note): ", word.text)]
    assert [word.text.split(":")[0] for word in sorted(named, key=lambda word: word.y)] == ["fail", "warning", "note"]
    for above, below in pairwise(sorted(named, key=lambda word: word.y)):
        assert below.y - above.y >= above.size
    assert all(0 <= word.x < width for word in named)


@pytest.mark.parametrize("name", ["thrust", "ranking"])
def test_very_long_names_are_shortened_and_leave_room_for_the_figures(name: str) -> None:
    long = "a-propeller-with-a-name-as-long-as-some-catalogues-have-them-7x4.2x3"
    drawing = drawing_of(name)
    renamed = json.loads(json.dumps(dict(drawing.datasets)).replace('auk"', f'{long}"'))
    svg = render.svg(drawing_spec(replace(drawing, datasets=renamed), LIGHT, Canvas(800, 600)))
    shortened = [word.text for word in words(svg) if "a-propeller" in word.text]
    assert shortened
    assert all(text.endswith("…") and len(text) < 60 for text in shortened)


def test_numbers_of_four_digits_and_more_are_grouped() -> None:
    texts = [word.text for word in drawn(curve_drawing("thrust"))]
    assert "10,000" in texts
    assert not [text for text in texts if re.fullmatch(r"\d{5,}", text)]


@pytest.mark.parametrize("size", [(800, 600), (1920, 1080)])
@pytest.mark.parametrize("name", ["thrust", "figure-of-merit", "shaft-efficiency"])
def test_axes_have_a_sensible_number_of_ticks(name: str, size: tuple[int, int]) -> None:
    texts = [word.text for word in drawn(curve_drawing(name), *size)]
    numbers = [text for text in texts if re.fullmatch(r"[\d,.]+", text)]
    assert 7 <= len(numbers) <= 34


def test_nothing_is_fetched_from_anywhere() -> None:
    place = "http:" + "//localhost:9/rows.csv"  # in two parts: no file of the project names an address
    spec = {"data": {"url": place}, "mark": "point", "encoding": {}}
    for make in (render.png, render.svg, render.pdf):
        with pytest.raises(ValueError, match=r"(?i)not allowed|access|denied"):
            make(spec)


def test_the_runtime_of_a_page_holds_the_snippet() -> None:
    script = render.runtime("window.answerOfThisTest = vega.version")
    assert "answerOfThisTest" in script
    assert len(script) < 1_500_000
