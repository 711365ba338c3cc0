"""Findings that the study of detection plants in no run, each with the reason and the test that holds it instead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

__all__ = ["WITHOUT_RATE", "Unrated"]


@dataclass(frozen=True, slots=True)
class Unrated:
    """Findings that share a reason for having no rate."""

    codes: tuple[str, ...]
    reason: str
    """As the page says it."""
    held_by: tuple[str, ...]
    """Files or folders under tests/: each code stands in one of them."""


WITHOUT_RATE: Final[tuple[Unrated, ...]] = (
    Unrated(
        (
            "channel-missing",
            "clock-wrapped",
            "head-unit-differs",
            "logger-restarted",
            "ragged-rows",
            "repeated-head",
            "rows-without-time",
            "summary-left-out",
            "table-chosen",
            "truncated-first-line",
            "truncated-last-line",
            "unreadable-cells",
        ),
        "told of what the text of a log holds, before there is a run: given or not given without chance, and pinned "
        "file by file",
        ("logs/bad",),
    ),
    Unrated(
        ("channel-not-read", "clock-not-shared", "waveform-aligned", "waveform-not-aligned"),
        "told of files of sound and vibration beside the log; they move no figure of the loads",
        ("unit/ingest",),
    ),
    Unrated(
        (
            "background-not-read",
            "calibrator-not-read",
            "calibrator-unusable",
            "sensitivity-disagrees",
            "sound-background-unknown",
            "sound-clipped",
            "sound-clock-off",
            "sound-gain-moved",
            "sound-kicked",
            "sound-near-background",
            "sound-reflection",
        ),
        "told of a microphone's recording beside the log; they move no figure of the loads",
        ("unit/reduction", "workflows", "unit/ingest"),
    ),
    Unrated(
        ("no-steps", "steps-left-out", "steps-too-coarse"),
        "told of the steps of a run, by rules on times and rows that have no chance in them; they move no curve",
        ("unit/reduction",),
    ),
    Unrated(
        ("torque-scale-checked", "torque-scale-off"),
        "told of two runs with and without a ring of known inertia: a check of the rig that is asked for",
        ("unit/reduction",),
    ),
    Unrated(
        (
            "air-carried",
            "air-unknown",
            "already-there",
            "campaign-differs-from-rig",
            "kind-proposed",
            "name-not-matched",
            "no-designs",
            "no-runs",
            "not-a-recording",
            "row-in-comment",
            "several-layouts",
            "size-from-name",
            "unfinished-campaign",
            "unknown-column",
            "unknown-key",
            "unknown-motor",
            "unknown-run",
            "unknown-sample",
        ),
        "told of the book's tables and folders, whatever the runs hold",
        ("unit/book", "workflows"),
    ),
    Unrated(
        ("not-reduced", "raw-changed"),
        "told of a file as it is: an error of reading or reducing, another hash than before",
        ("workflows",),
    ),
    Unrated(
        ("bench-verdict", "differs-from-earlier", "inertia-borrowed"),
        "no fault of the run: the verdict on a fresh file, how it lies to earlier runs, and whose inertia it was lent",
        ("workflows",),
    ),
)
