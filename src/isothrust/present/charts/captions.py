"""What is written above and below a chart: what is shown, of whom, in which air, and what the band and grey mean."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from isothrust.present.charts.canvas import Caption
from isothrust.present.charts.catalogue import Chart
from isothrust.present.shown import condition_words, measurand_words
from isothrust.quantities import OF_STEPS
from isothrust.records.finding import Finding
from isothrust.records.picture import RunPicture
from isothrust.records.response import StepKind
from isothrust.records.result import Comparison, Condition, Result

__all__ = ["Subject", "curve_caption", "finding_caption", "ranking_caption", "recording_caption", "step_caption"]

DOT = " \N{MIDDLE DOT} "


@dataclass(frozen=True, slots=True)
class Subject:
    """Of whom a chart is."""

    campaign: str
    class_name: str
    standard_density: float
    """[kg/m3]"""


def curve_caption(
    chart: Chart,
    subject: Subject,
    results: Sequence[Result],
    *,
    shown: Sequence[str],
    point: Condition | None,
    cut: bool = False,
) -> Caption:
    """Return the caption of a curve chart; `shown`: designs that are told apart; `cut`: a band leaves the frame."""
    drawn = list(dict.fromkeys(result.design for result in results if result.value is not None))
    others = [design for design in drawn if design not in shown]
    notes = [f"Band: {band_words(results)}{', cut off where it is far wider than elsewhere' if cut else ''}."]
    if others:
        grey = "Thin" if chart.by_blades else "Grey"
        notes.append(f"{grey}: {_counted(len(others), 'other design')}.")
    if point is not None:
        notes.append(f"Dashed line: the comparison point, {condition_words(point).removeprefix('at ')}.")
    if chart.by_blades:
        notes.append("Comparable at equal blade count only.")
    if not chart.from_zero:
        notes.append("The vertical axis does not begin at zero.")
    return Caption(chart.title, (_subject_line(subject, results),), (" ".join(notes), *_missing(results)))


def ranking_caption(comparison: Comparison, subject: Subject) -> Caption:
    """Return the caption of a ranking, with what the comparison says in a sentence."""
    words = measurand_words(comparison.measurand)
    where = f" {condition_words(comparison.condition)}".rstrip()
    direction = {"more": ", more is better", "less": ", less is better", None: ""}[comparison.better]
    results = [rank.result for rank in comparison.ranks]
    notes = [f"Dot and line: value and {band_words(results)}."]
    if any(rank.tied_with for rank in comparison.ranks):
        notes.append("Designs that a bar at the right joins are tied.")
    title = f"{words[:1].upper()}{words[1:]}{where}{direction}"
    lines = (_subject_line(subject, results), *(one for one in comparison.sentences[:1] if len(one) <= LONGEST))
    return Caption(title, lines, (" ".join(notes), *_missing(comparison.absent)))


def step_caption(
    subject: Subject, direction: str, kinds: Mapping[str, Sequence[StepKind]], missing: Sequence[str]
) -> Caption:
    """Return the caption of a step overlay: which step, how many repeats, who has none."""
    every = [kind for of_runs in kinds.values() for kind in of_runs]
    throttles = {
        f"{100.0 * kind.from_throttle:.3g} to {100.0 * kind.to_throttle:.3g} % throttle"
        for kind in every
        if kind.from_throttle is not None and kind.to_throttle is not None
    }
    step = next(iter(throttles)) if len(throttles) == 1 else "steps of several heights"
    repeats = sum(kind.used for kind in every)
    lines = [DOT.join((f"Campaign {subject.campaign}", subject.class_name, "air of the day"))]
    lines.append(f"{step[:1].upper()}{step[1:]}; means of {repeats} steps in {_counted(len(every), 'run')}.")
    notes = ["Band: from the least to the greatest run of a design, where it has several."]
    if missing:
        rest = f" and {len(missing) - 3} more" if len(missing) > 3 else ""
        notes.append(f"Not shown: {', '.join(missing[:3])}{rest} (no run of kind steps that could be timed).")
    return Caption(f"Steps {direction}, speed from the command on", tuple(lines), (" ".join(notes),))


def recording_caption(picture: RunPicture) -> Caption:
    """Return the caption of a picture of a recording."""
    thinned = "As recorded, zeros inside; of each short stretch the least and the greatest reading are drawn."
    lines = [_whose(picture), thinned]
    if picture.elsewhere:
        lines.append(f"Found besides, at no time of its own: {', '.join(dict.fromkeys(picture.elsewhere))}.")
    found = len(picture.spans)
    title = f"Recording of run {picture.run}" + (f", {_counted(found, 'finding')}" if found else "")
    return Caption(title, tuple(lines))


def finding_caption(
    picture: RunPicture, finding: Finding, window: tuple[float, float], whole: tuple[float, float]
) -> Caption:
    """Return the caption of one finding's picture: the number that proves it, its effect, and what is shown of the run.

    Parameters
    ----------
    picture, finding
        The run as drawn, and what was found in it.
    window, whole
        Start and end of what is shown, and of the recording [s].
    """
    # Of a run that could not be reduced the message is a whole error: its first line says what is wrong.
    message = textwrap.shorten(finding.message.split("\n", maxsplit=1)[0], 2 * LONGEST, placeholder=" …")
    lines = [_whose(picture), f"{message[:1].upper()}{message[1:]}"]
    told = [f"Effect: {finding.effect}." if finding.effect else "", f"Done: {finding.done}."]
    lines.append(" ".join(part for part in told if part))
    all_of_it = f"the whole recording, {_seconds(whole)}"
    part = f"{_seconds(window)} of a recording from {_seconds(whole)}"
    notes = [f"Shown: {all_of_it if window == whole else part}; as recorded, zeros inside."]
    return Caption(f"{finding.severity.capitalize()}: {finding.code}, run {picture.run}", tuple(lines), tuple(notes))


def _seconds(span: tuple[float, float]) -> str:
    return f"{span[0]:.4g} to {span[1]:.4g} s"


def _whose(picture: RunPicture) -> str:
    parts = (
        f"Campaign {picture.campaign}" if picture.campaign else "",
        picture.design,
        f"sample {picture.sample}" if picture.sample else "",
        picture.kind,
        picture.date,
    )
    return DOT.join(part for part in parts if part)


def band_words(results: Sequence[Result]) -> str:
    """Return what the intervals shown are: of the design, or as tested where samples' scatter is not known."""
    valued = [result for result in results if result.value is not None]
    of_design = [result for result in valued if result.interval_of_design is not None]
    if valued and len(of_design) == len(valued):
        return "95 % interval of the design"
    if not of_design:
        return "95 % interval as tested, these samples only"
    return "95 % interval of the design, or as tested where the scatter of its samples is not known"


def _subject_line(subject: Subject, results: Sequence[Result]) -> str:
    day = any({"air-of-the-day", "air-unknown"} & set(result.flags) for result in results)
    peak = any(result.measurand.startswith("peak-") or result.measurand in OF_STEPS for result in results)
    air = "air of the day" if day or peak else f"standard air, {subject.standard_density:.4g} kg/m\N{SUPERSCRIPT THREE}"
    return DOT.join((f"Campaign {subject.campaign}", subject.class_name, air))


def _missing(results: Sequence[Result]) -> list[str]:
    """Say who is not in the chart at all, and why; the first three by name."""
    valued = {result.design for result in results if result.value is not None}
    reasons = {result.design: result.absent for result in results if result.design not in valued and result.absent}
    told = [f"Not shown: {design} ({reason})." for design, reason in list(reasons.items())[:MOST_MISSING]]
    if len(reasons) > MOST_MISSING:
        told.append(f"Not shown either: {_counted(len(reasons) - MOST_MISSING, 'more design')}.")
    return told


MOST_MISSING = 3
LONGEST = 240
"""Letters of a sentence that a picture has room for."""


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" + ("" if count == 1 else "s")
