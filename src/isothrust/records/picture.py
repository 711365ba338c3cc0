"""A run's recording made small enough to be drawn, with the spans of what was found in it."""

from __future__ import annotations

from dataclasses import dataclass

from isothrust.records.finding import Severity
from isothrust.records.recording import Floats

__all__ = ["RunPicture", "Span", "Trace"]


@dataclass(frozen=True, slots=True)
class Trace:
    """One channel, thinned: some of the samples as they were read, not cleaned, zeros inside."""

    channel: str
    time: Floats
    """[s] (n,)"""
    values: Floats
    """SI (n,)"""
    about: str = ""
    """What is drawn, in words, where it is not simply the channel."""


@dataclass(frozen=True, slots=True)
class Span:
    """When a finding held."""

    finding: str
    """Its code."""
    severity: Severity
    channel: str | None
    """None where it concerns all channels, or one that is not in the picture."""
    start: float
    """[s]"""
    end: float
    """[s]; the start again where it is a moment."""
    message: str


@dataclass(frozen=True, slots=True)
class RunPicture:
    """What is drawn of one run."""

    run: str
    campaign: str
    design: str
    sample: str
    kind: str
    date: str
    traces: tuple[Trace, ...] = ()
    spans: tuple[Span, ...] = ()
    elsewhere: tuple[str, ...] = ()
    """Codes of findings that hold at no time of their own."""
    absent: str | None = None
    """Why there is nothing to draw."""
