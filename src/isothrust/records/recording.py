"""What a run left: channels in SI, each on its own clock, with the files they came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from isothrust.records.finding import Finding

__all__ = ["Alignment", "Channel", "Floats", "Recording", "Source"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Source:
    """One raw file."""

    file: str
    """Path relative to the campaign's raw/ folder (or as given, for a loose file)."""
    sha256: str
    rows: int
    """Data rows that were read."""
    dialect: str
    """How it was read, in words: 'comma, decimal point, utf-8, head in line 1'."""


@dataclass(frozen=True, slots=True)
class Channel:
    """One quantity over time.

    `time` [s] and `values` [SI] have the same shape (n,), or values (n, axes) for acceleration. Samples that the log
    left blank or that could not be parsed are already left out, so a slow channel keeps its own clock. Order is the
    log's order: times may repeat or step back until cleaning has seen to it. Time zero is the log's first stamp.
    """

    quantity: str
    time: Floats
    values: Floats
    resolution: float | None = None
    """Step of the last digit or count [SI], where ingest knows it."""


@dataclass(frozen=True, slots=True)
class Alignment:
    """Where a waveform file lies on the log's clock: log time = waveform time + offset."""

    file: str
    by: str
    """'offset' (stated by the rig), 'trigger' or 'correlation'."""
    offset: float
    """[s]; already in the time of the file's channels."""
    u_offset: float | None
    """Standard uncertainty [s]; None where the rig states the offset without one."""
    degrees_of_freedom: float = float("inf")


@dataclass(frozen=True, slots=True)
class Recording:
    """All channels of a run as read: converted to SI, sign, ratio, arms and scale applied, zeros not yet taken out."""

    run: str
    channels: Mapping[str, Channel]
    sources: tuple[Source, ...]
    findings: tuple[Finding, ...] = ()
    extra: Mapping[str, str] = field(default_factory=dict)
    """Preamble lines and unread heads, kept to be shown."""
    alignments: Mapping[str, Alignment] = field(default_factory=dict)
    """Kind of file ('sound', 'vibration') -> where it lies on the log's clock; only what was aligned."""
    beside: Mapping[str, Channel] = field(default_factory=dict)
    """'calibrator', 'background' -> sound recorded apart, on a clock of its own."""
