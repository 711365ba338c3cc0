"""A picture for each finding: the channels concerned around its time, the span marked, its number in the caption."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from isothrust.errors import IsothrustError
from isothrust.ingest import read_recording
from isothrust.present.charts.canvas import Canvas
from isothrust.present.charts.captions import finding_caption
from isothrust.present.charts.catalogue import CHARTS
from isothrust.present.charts.drawing import Drawing
from isothrust.present.charts.pictures import picture_of
from isothrust.present.charts.recording_data import recording_datasets
from isothrust.present.charts.signature import PictureKind
from isothrust.present.charts.theme import LIGHT
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.picture import RunPicture, Trace
from isothrust.records.recording import Channel
from isothrust.science.thinning import extremes_kept
from isothrust.workflows.pictures import span_of, trace_of

__all__ = ["FindingPicture", "FindingsJob", "draw_findings", "findings_drawn", "picture_names"]

BESIDE: Final = ("throttle", "speed", "thrust")
"""Channels that show what the run did at that time."""
PANELS: Final = 3
"""Channels of one picture, where the finding itself names no more."""
LEAST: Final = 0.4
"""Time shown before and after a span [s], at least."""
READINGS: Final = 25
"""Readings shown before and after a span, at least."""
MOST: Final = 0.4
"""Of the recording: what would show more of it shows all of it."""
STRETCHES: Final = 700
"""Of the time shown: a picture has room for more than a page."""
CLOCK: Final = "time"
SIZE: Final = (1280, 720)
NO_MOMENT: Final = "it holds at no moment and in no channel of the recording"


@dataclass(frozen=True, slots=True)
class FindingsJob:
    """What a worker needs to draw the findings of one run."""

    job: RunJob
    findings: tuple[Finding, ...]
    names: tuple[str, ...]
    """Of the pictures, without ending; one a finding."""
    kind: PictureKind


@dataclass(frozen=True, slots=True)
class FindingPicture:
    """The picture of one finding, or why there is none."""

    name: str
    finding: Finding
    content: bytes | None
    absent: str = ""


def picture_names(job: RunJob, findings: Sequence[Finding]) -> tuple[str, ...]:
    """Return a file name without ending for each finding of a run, no two alike."""
    names: list[str] = []
    for finding in findings:
        parts = (job.run.campaign, job.run.name, finding.code, finding.channel or "")
        stem = re.sub(r"[^\w.-]+", "-", "-".join(part for part in parts if part)).strip("-.")
        same = sum(name == stem or name.startswith(f"{stem}~") for name in names)
        names.append(f"{stem}~{same + 1}" if same else stem)
    return tuple(names)


def findings_drawn(
    jobs: Sequence[FindingsJob], executor: Executor | None = None
) -> Iterator[tuple[FindingsJob, tuple[FindingPicture, ...]]]:
    """Yield each job with its pictures, drawn here or on an executor made by the caller, in the order of the jobs."""
    drawn = map(draw_findings, jobs) if executor is None else executor.map(draw_findings, jobs)
    yield from zip(jobs, drawn, strict=True)


def draw_findings(job: FindingsJob) -> tuple[FindingPicture, ...]:
    """Read one run's recordings and draw each of its findings."""
    try:
        recording = read_recording(job.job.run.name, job.job.files, job.job.rig)
    except IsothrustError as error:
        reason = f"the recording cannot be read: {error.problems[0].what}"
        return tuple(FindingPicture(*pair, None, reason) for pair in zip(job.names, job.findings, strict=True))
    return tuple(
        _drawn(job, recording.channels, *pair)  # type: ignore[arg-type]
        for pair in zip(job.names, job.findings, strict=True)
    )


def _drawn(job: FindingsJob, channels: dict[str, Channel], name: str, finding: Finding) -> FindingPicture:
    named = _named(finding, channels)
    if finding.start is None and not named and finding.severity != "fail":
        return FindingPicture(name, finding, None, NO_MOMENT)
    shown = _shown(named, channels)
    whole = _extent(channels[one] for one in shown)
    if not shown or whole is None:
        return FindingPicture(name, finding, None, "the recording has no channel to draw")
    window = _window(finding, [channels[one] for one in named or shown], whole)
    traces = [trace_of(channels[one], window, stretches=STRETCHES) for one in shown]
    traces += [_intervals(channels[shown[0]], window)] if finding.channel == CLOCK else []
    traces += _rests(finding, traces) if finding.code.startswith("zero-") else []
    traces = [trace for trace in traces if trace.time.size > 1]
    if not traces:
        return FindingPicture(name, finding, None, "no channel has two readings at that time")
    picture = _picture(job.job, finding, tuple(traces))
    caption = finding_caption(picture, finding, window, whole)
    drawing = Drawing(CHARTS["recording"], caption, recording_datasets(picture))
    return FindingPicture(name, finding, picture_of(drawing, job.kind, LIGHT, Canvas(*SIZE), name=name))


def _intervals(channel: Channel, window: tuple[float, float]) -> Trace:
    """Return the time from each row to the next as the clock tells it: what is wrong with a clock shows there."""
    known = channel.time[np.isfinite(channel.time)]
    at, step = np.maximum.accumulate(known)[1:], np.diff(known)
    inside = (at >= window[0]) & (at <= window[1])
    kept = extremes_kept(at[inside], step[inside], stretches=STRETCHES)
    return Trace(CLOCK, at[inside][kept], step[inside][kept], "Since the row before")


def _rests(finding: Finding, traces: Sequence[Trace]) -> list[Trace]:
    """Return the channel once more, cut off beyond what it reads before and after the span: a zero is small."""
    found = []
    for trace in traces:
        start, end = finding.start, finding.end
        if trace.channel != finding.channel or start is None or end is None:
            continue
        before, after = trace.values[trace.time <= start], trace.values[trace.time >= end]
        if before.size < 2 or after.size < 2:
            continue
        rests = np.concatenate([before, after])
        low, high = float(np.min(rests)), float(np.max(rests))
        words = trace.channel.replace("-", " ")
        about = f"{words} again, cut off beyond what it reads before and after"
        found.append(replace(trace, values=np.clip(trace.values, low, high), about=about))
    return found


def _named(finding: Finding, channels: Iterable[str]) -> list[str]:
    """Return the channels that a finding names and the recording has."""
    words = re.split(r"[,;/ ]+|\band\b", finding.channel or "")
    there = set(channels)
    return [word for word in dict.fromkeys(words) if word in there]


def _shown(named: Sequence[str], channels: Iterable[str]) -> list[str]:
    """Return the channels worth a panel: what the run did, above those that the finding names."""
    there = set(channels)
    beside = [one for one in BESIDE if one in there and one not in named][: max(PANELS - len(named), 1)]
    return [*beside, *named] or sorted(there)[:PANELS]


def _extent(channels: Iterable[Channel]) -> tuple[float, float] | None:
    ends = [(float(np.nanmin(one.time)), float(np.nanmax(one.time))) for one in channels if np.isfinite(one.time).any()]
    return (min(start for start, _ in ends), max(end for _, end in ends)) if ends else None


def _window(finding: Finding, channels: Sequence[Channel], whole: tuple[float, float]) -> tuple[float, float]:
    """Return the time that is shown: the span with as much before and after, and never a part of nearly all."""
    if finding.start is None:
        return whole
    start, end = finding.start, finding.start if finding.end is None else max(finding.end, finding.start)
    steps = [float(np.nanmedian(np.diff(one.time))) for one in channels if one.time.size > 1]
    beside = max(end - start, LEAST, READINGS * max(steps, default=0.0))
    if end - start + 2.0 * beside > MOST * (whole[1] - whole[0]):
        return min(whole[0], start), max(whole[1], end)
    return max(start - beside, min(whole[0], start)), min(end + beside, max(whole[1], end))


def _picture(job: RunJob, finding: Finding, traces: tuple[Trace, ...]) -> RunPicture:
    run = job.run
    spans = () if finding.start is None else (span_of(finding, [trace.channel for trace in traces]),)
    return RunPicture(run.name, run.campaign, run.design, run.sample, run.kind, run.date, traces, spans)
