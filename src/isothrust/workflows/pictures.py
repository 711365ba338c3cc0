"""Pictures of recordings: the raw files read once more, thinned, with the spans of what was found in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np

from isothrust.book.campaigns import CAMPAIGNS
from isothrust.book.hashes import RAW
from isothrust.errors import IsothrustError
from isothrust.ingest import read_recording
from isothrust.records.book import Book, Run
from isothrust.records.finding import Finding
from isothrust.records.picture import RunPicture, Span, Trace
from isothrust.records.recording import Channel
from isothrust.records.reduced import ReducedRun
from isothrust.records.rig import Rig
from isothrust.reduction.checks.timing.clock import check_clock
from isothrust.science.thinning import extremes_kept
from isothrust.workflows.runs import RunName

__all__ = ["PictureJob", "picture_job", "picture_jobs", "span_of", "take_pictures", "trace_of"]

USUAL: Final = ("throttle", "speed", "thrust", "torque")
"""Channels that tell what a run was."""
ORDER: Final = (*USUAL, "voltage", "current", "electrical-power", "acceleration", "sound")
PANELS: Final = 5
"""Most channels of one picture."""
STRETCHES: Final = 180
"""Of time: a channel keeps about twice as many points at most."""


@dataclass(frozen=True, slots=True)
class PictureJob:
    """What a worker needs to draw one run."""

    run: Run
    rig: Rig
    files: Mapping[str, str]
    findings: tuple[Finding, ...]


def picture_jobs(book: Book, reduced: Iterable[ReducedRun]) -> dict[RunName, PictureJob]:
    """Return a job for each reduced run that the book lists."""
    listed = {
        (campaign.name, run.name): (campaign, run) for campaign in book.campaigns.values() for run in campaign.runs
    }
    jobs: dict[RunName, PictureJob] = {}
    for one in reduced:
        name = (one.campaign, one.run)
        if name not in listed:
            continue
        campaign, run = listed[name]
        folder = Path(book.root).resolve() / CAMPAIGNS / campaign.name / RAW
        files = {kind: str(folder / file) for kind, file in run.files.items()}
        jobs[name] = PictureJob(run, campaign.rig, files, one.findings)
    return jobs


def take_pictures(jobs: Mapping[RunName, PictureJob], executor: Executor | None = None) -> dict[RunName, RunPicture]:
    """Return the picture of each job, drawn here or on an executor made by the caller."""
    mapped = map(picture_job, jobs.values()) if executor is None else executor.map(picture_job, jobs.values())
    return dict(zip(jobs, mapped, strict=True))


def picture_job(job: PictureJob) -> RunPicture:
    """Read one run's recordings and thin them; a run that cannot be read gives the reason instead."""
    try:
        recording = read_recording(job.run.name, job.files, job.rig)
    except IsothrustError as error:
        return _picture(job, absent=error.problems[0].what)
    names = channels_shown(recording.channels, job.findings)
    traces = [trace_of(recording.channels[name]) for name in names]
    placed = [finding for finding in job.findings if finding.start is not None]
    return _picture(
        job,
        traces=tuple(trace for trace in traces if trace.time.size > 1),
        spans=tuple(span_of(finding, names) for finding in placed),
        elsewhere=tuple(finding.code for finding in job.findings if finding.start is None),
    )


def channels_shown(channels: Iterable[str], findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the channels worth a panel, in their usual order: those that findings name, then those of any run."""
    there = list(channels)
    named = [finding.channel for finding in findings if finding.start is not None and finding.channel]
    wanted = [name for name in dict.fromkeys([*named, *USUAL]) if name in there][:PANELS]
    return tuple(sorted(wanted, key=lambda name: ORDER.index(name) if name in ORDER else len(ORDER)))


def trace_of(channel: Channel, window: tuple[float, float] | None = None, *, stretches: int = STRETCHES) -> Trace:
    """Return a channel thinned for a picture, within a window of time [s] if one is given."""
    rising, _ = check_clock(channel)
    values = rising.values if rising.values.ndim == 1 else np.sqrt(np.sum(rising.values**2, axis=1))
    time = rising.time
    if window is not None:
        inside = (time >= window[0]) & (time <= window[1])
        time, values = time[inside], values[inside]
    kept = extremes_kept(time, values, stretches=stretches)
    return Trace(channel.quantity, time[kept], values[kept])


def span_of(finding: Finding, names: Sequence[str]) -> Span:
    """Return the span of a finding that has a time, in the panel of its channel if that is drawn."""
    assert finding.start is not None
    end = finding.start if finding.end is None else finding.end
    channel = finding.channel if finding.channel in names else None
    return Span(finding.code, finding.severity, channel, finding.start, max(end, finding.start), finding.message)


def _picture(
    job: PictureJob,
    *,
    traces: tuple[Trace, ...] = (),
    spans: tuple[Span, ...] = (),
    elsewhere: tuple[str, ...] = (),
    absent: str | None = None,
) -> RunPicture:
    run = job.run
    return RunPicture(
        run.name, run.campaign, run.design, run.sample, run.kind, run.date, traces, spans, elsewhere, absent
    )
