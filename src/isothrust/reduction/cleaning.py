"""Runs the checks in order over a recording's channels; raw data are not touched."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats, Recording
from isothrust.reduction.checks.channels.ceiling import check_ceiling
from isothrust.reduction.checks.channels.dead import check_dead
from isothrust.reduction.checks.channels.held import check_held
from isothrust.reduction.checks.channels.spikes import check_spikes
from isothrust.reduction.checks.speed.tachometer import check_tachometer
from isothrust.reduction.checks.speed.witness import check_witness
from isothrust.reduction.checks.throttle.command import check_command
from isothrust.reduction.checks.timing.bursts import check_bursts
from isothrust.reduction.checks.timing.clock import check_clock

__all__ = ["clean_channels"]

_LIVE = ("speed", "thrust", "torque", "voltage", "current")
_LEAST: Final[Mapping[str, float]] = {"voltage": 1.0, "current": 0.05}
"""What a connected sensor reads at least, once in a run, in SI."""
_SPIKY = ("thrust", "torque", "voltage", "current")


def clean_channels(recording: Recording) -> tuple[Mapping[str, Channel], list[Finding]]:
    """Return the channels fit for averaging, and the findings in the order they were made."""
    findings: list[Finding] = []
    cleaned = _live(recording, findings)
    if "throttle" in cleaned:
        throttle, about = check_command(cleaned.pop("throttle"))
        findings.extend(about)
        if throttle is not None:
            cleaned["throttle"] = throttle
    for name in [name for name in _LIVE if name in cleaned]:
        cleaned[name], about = check_held(cleaned[name])
        findings.extend(about)
    for name in [name for name in _SPIKY if name in cleaned]:
        findings.extend(check_ceiling(cleaned[name]))
        cleaned[name], about = check_spikes(cleaned[name])
        findings.extend(about)
    if {"speed", "current"} <= set(cleaned) and (useless := check_witness(cleaned["speed"], cleaned["current"])):
        findings.extend(useless)
        del cleaned["speed"]
    if "speed" in cleaned:
        cleaned["speed"], about = check_tachometer(cleaned["speed"])
        findings.extend(about)
    return cleaned, findings


def _live(recording: Recording, findings: list[Finding]) -> dict[str, Channel]:
    """Return the channels with rising clocks and living sensors; what was found goes into `findings`."""
    said: set[tuple[str, int | None]] = set()
    live: dict[str, Channel] = {}
    clocks: dict[int, tuple[Floats, Floats, list[Finding]]] = {}
    for name, channel in recording.channels.items():
        if name in {"sound", "mark"}:  # no load: it must not move the bins of those, and is by far the longest
            continue
        rising, about_clock = check_clock(channel)
        rising, about_bursts = _evenly(rising, clocks)
        for finding in [*about_clock, *about_bursts]:  # channels that share a clock share its faults: say them once
            if (finding.code, finding.count) not in said:
                said.add((finding.code, finding.count))
                findings.append(finding)
        dead = check_dead(rising, least=_LEAST.get(name, 0.0)) if name in _LIVE else []
        findings.extend(dead)
        if not dead:
            live[name] = rising
    return live


def _evenly(channel: Channel, clocks: dict[int, tuple[Floats, Floats, list[Finding]]]) -> tuple[Channel, list[Finding]]:
    """Return the channel with bursts of rows spread; `clocks` keeps what was made of each clock."""
    if channel.quantity not in {*_LIVE, "throttle"}:
        return channel, []
    if id(channel.time) not in clocks:
        spread, about = check_bursts(channel)
        clocks[id(channel.time)] = (channel.time, spread.time, about)
    _, time, about = clocks[id(channel.time)]
    return (channel if time is channel.time else replace(channel, time=time)), about
