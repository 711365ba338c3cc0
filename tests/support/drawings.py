"""Drawings with made-up figures, and what a picture of one holds."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import NamedTuple

import numpy as np

from isothrust.present.charts.canvas import Caption
from isothrust.present.charts.catalogue import CHARTS
from isothrust.present.charts.curve_rows import curve_datasets
from isothrust.present.charts.drawing import Drawing
from isothrust.present.charts.ranking_rows import ranking_datasets
from isothrust.present.charts.recording_data import recording_datasets
from isothrust.present.charts.sound_bands import bands_datasets
from isothrust.present.charts.sound_map import map_datasets
from isothrust.present.charts.step_rows import step_datasets
from isothrust.present.charts.torque_speed import Course, torque_datasets
from isothrust.present.charts.winding_rows import winding_datasets
from isothrust.quantities import MEASURANDS
from isothrust.records.book import Design
from isothrust.records.motor import MotorModel
from isothrust.records.picture import RunPicture, Span, Trace
from isothrust.records.prediction import WindingSweep
from isothrust.records.response import StepKind
from isothrust.records.result import Comparison, Condition, Result
from isothrust.records.sound import Passing, SoundMap
from isothrust.reduction.comparing import Grounds, compare_results
from isothrust.science.sound import BAND_CENTRES
from made_results import result

CAPTION = Caption("What is shown", ("of whom", "in which air"), ("what the band is",))
NAMES = ("auk", "brent", "crake", "diver", "eider", "fulmar", "gannet", "heron", "ibis", "jackdaw")


def curve_results(chart_name: str, *, designs: int = 3, spread: float = 0.05, points: int = 20) -> list[Result]:
    """Results of a curve chart: designs a little apart, the second with a gap, the last ending early."""
    chart = CHARTS[chart_name]
    assert chart.measurand is not None
    assert chart.abscissa is not None
    unit = MEASURANDS[chart.measurand].shown_unit
    conditions = np.linspace(400.0, 2000.0, points) if chart.abscissa == "speed" else np.arange(1.0, points)
    results = []
    for number, design in enumerate(NAMES[:designs]):
        for place, x in enumerate(conditions):
            value: float | None = unit.to_si((1.0 + spread * number) * (1.0 + 0.01 * place))
            if (number == 1 and place == 8) or (number == designs - 1 and place > points - 4):
                value = None
            results.append(
                result(
                    design,
                    value,
                    {"run a": 0.01 * unit.factor},
                    measurand=chart.measurand,
                    condition=Condition(chart.abscissa, float(x)),
                )
            )
    return results


def curve_drawing(chart_name: str, *, designs: int = 3, told_apart: int = 3, spread: float = 0.05) -> Drawing:
    """A curve chart of a few designs, the first of them told apart."""
    chart = CHARTS[chart_name]
    slots = {name: slot for slot, name in enumerate(NAMES[:told_apart])}
    point = 1466.0 if chart.abscissa == "speed" else 5.0
    results = curve_results(chart_name, designs=designs, spread=spread)
    return Drawing(chart, CAPTION, curve_datasets(chart, results, slots, point=point))


def power_comparison(designs: int = 4) -> Comparison:
    """A comparison in which each design is tied with its neighbours, and differs from all others."""
    names = NAMES[:designs]
    # 0.9 W apart is less, and 1.8 W is more, than the family-wise half-width of about 1.2 to 1.6 W
    results = [result(name, 60.0 + 0.9 * number, {f"run {name}": 0.35}) for number, name in enumerate(names)]
    known = {name: Design(name, diameter=0.1778, blades=2) for name in names}
    (comparison,) = compare_results(results, Grounds(designs=known, class_edges=(0.16, 0.186)))
    return comparison


def ranking_drawing(designs: int = 4, *, told_apart: int = 8) -> Drawing:
    """The ranking of that comparison."""
    slots = {name: slot for slot, name in enumerate(NAMES[:told_apart])}
    return Drawing(CHARTS["ranking"], CAPTION, ranking_datasets(power_comparison(designs), slots), "Shaft power [W]")


def picture(*spans: Span, channels: tuple[str, ...] = ("throttle", "speed", "thrust", "torque")) -> RunPicture:
    """A picture of a ramp of ten seconds."""
    time = np.linspace(0.0, 10.0, 200)
    traces = tuple(Trace(name, time, np.sin(time) ** 2 * 10.0) for name in channels)
    return RunPicture("r07", "spring", "auk", "a", "ramp", "2026-03-01", traces, spans)


def recording_drawing(*spans: Span) -> Drawing:
    """The same as a drawing."""
    return Drawing(CHARTS["recording"], CAPTION, recording_datasets(picture(*spans)))


def torque_drawing(*, designs: int = 3) -> Drawing:
    """Propellers, each asking for a little more, and a motor's lines at two throttles."""
    speed = np.linspace(300.0, 2500.0, 40)
    propellers = {name: Course(speed, (3e-8 + 1e-8 * k) * speed**2) for k, name in enumerate(NAMES[:designs])}
    lines = {at: Course(speed, np.maximum(0.4 * at - 1e-4 * speed, 0.0)) for at in (0.5, 1.0)}
    crossings = {name: [(1200.0, 0.06), (2000.0, 0.2)] for name in NAMES[:designs]}
    slots = {name: slot for slot, name in enumerate(NAMES[:designs])}
    return Drawing(CHARTS["torque-speed"], CAPTION, torque_datasets(propellers, lines, crossings, slots))


def winding_drawing(*, designs: int = 3) -> Drawing:
    """Thrust that rises with KV until the current's limit bends it, for designs that are each a little heavier."""
    kv = np.linspace(60.0, 160.0, 41)
    sweeps = {
        name: WindingSweep(kv, np.minimum(kv, 120.0 - 5.0 * k) / 8.0, 0.01 * kv, kv / 8.0, 130.0)
        for k, name in enumerate(NAMES[:designs])
    }
    motor = MotorModel("m1", "found", 105.0, 0.1, 0.0, 0.0, 0.0, 0.0, np.zeros((6, 6)), max_current=40.0)
    slots = {name: slot for slot, name in enumerate(NAMES[:designs])}
    return Drawing(CHARTS["thrust-over-kv"], CAPTION, winding_datasets(sweeps, slots, motor))


def sound_drawing(chart_name: str, *, designs: int = 3) -> Drawing:
    """Bands of designs that are each a little louder, or a map in which one tone rises."""
    if chart_name == "bands":
        centres = np.array(BAND_CENTRES)
        levels = {name: 60.0 + 3.0 * k - 0.3 * np.arange(centres.size) for k, name in enumerate(NAMES[:designs])}
        slots = {name: slot for slot, name in enumerate(NAMES[:designs])}
        return Drawing(CHARTS["bands"], CAPTION, bands_datasets(centres, levels, slots, {}))
    thrust, frequency = np.linspace(1.0, 12.0, 16), np.geomspace(40.0, 16000.0, 40)
    tone = 200.0 * np.sqrt(thrust)
    level = -40.0 * np.abs(np.log2(frequency[None, :] / tone[:, None]))
    nothing = np.full((16, 4), np.nan)
    passing = Passing("tachometer", 2, tone, nothing, nothing[:, 0], nothing[:, 0], 0.0, 0.0)
    datasets = map_datasets(SoundMap(thrust, frequency, level), thrust, passing, over="thrust")
    return Drawing(CHARTS["sound-map"], CAPTION, datasets, "Thrust [gf]")


def step_drawing(chart_name: str, *, designs: int = 3) -> Drawing:
    """An overlay of steps, each design a little slower than the one before."""
    kinds = {name: [_course(0.02 + 0.01 * number)] for number, name in enumerate(NAMES[:designs])}
    slots = {name: slot for slot, name in enumerate(NAMES[:designs])}
    return Drawing(CHARTS[chart_name], CAPTION, step_datasets(kinds, slots))


def _course(lag: float) -> StepKind:
    time = np.linspace(-0.05, 0.5, 200)
    share = np.where(time < 0.0, 0.0, 1.0 - np.exp(-np.maximum(time, 0.0) / lag))
    levels = (0.1, 0.5, 300.0, 1600.0)
    times = (1e4, 2.2 * lag, 0.05 * lag, lag, 4.0 * lag, 0.0, 1e-4, lag, 1e-3)
    return StepKind("up", *levels, 6, 6, "samples", "", *times, time, share)


class Word(NamedTuple):
    """A text in a picture, and where its anchor stands [pixels]."""

    text: str
    x: float
    y: float
    size: float


def words(svg: str) -> list[Word]:
    """Every text of an SVG with the place that its groups move it to."""
    found: list[Word] = []

    def walk(node: ET.Element, x: float, y: float) -> None:
        moved = re.search(r"translate\(([-\d.e]+)[ ,]([-\d.e]+)\)", node.get("transform", ""))
        if moved:
            x, y = x + float(moved[1]), y + float(moved[2])
        if node.tag.endswith("}text") and node.text:
            found.append(Word(node.text, x, y, float((node.get("font-size") or "0").removesuffix("px"))))
        for child in node:
            walk(child, x, y)

    walk(ET.fromstring(svg), 0.0, 0.0)
    return found
