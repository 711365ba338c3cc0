"""Waveform files beside a log: put on its clock by a stated offset, a shared trigger, or the course of their level."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.ingest.assigning import is_waveform
from isothrust.ingest.clock import Clock
from isothrust.ingest.picks import pick_columns
from isothrust.ingest.readers.numeric import NumericTable, columns_of
from isothrust.ingest.reading import TableReading
from isothrust.records.finding import Finding
from isothrust.records.recording import Alignment, Channel
from isothrust.records.rig import AlignmentPlan, ChannelPlan, Rig
from isothrust.science.registration import (
    Registration,
    edge_registration,
    level_registration,
    rising_edges,
    short_time_level,
)

__all__ = ["Aligned", "aligned", "with_triggers"]

_AGAINST: Final = ("speed", "thrust", "throttle")
_STEP: Final = 0.02
"""Time over which a level is taken [s]: twenty of them show the shape of a spin-up, and each holds ten turns."""
_EXPLAINED: Final = 0.7
"""Share of the level's variance that the log must explain: a level of something else stays below a third."""
_CLEAR: Final = 2.5
"""How much worse every other offset must be: below twice, wrong ones were chosen in 2 of 100 simulated staircases."""
_WIDEST: Final = 0.2
"""A tenth of a second more or less, and a ramp's sound is laid to a speed that is 1 % off [s]."""


@dataclass(frozen=True, slots=True)
class Aligned:
    """What became of the waveforms of a run."""

    readings: Mapping[str, TableReading]
    alignments: Mapping[str, Alignment] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    lost: frozenset[str] = frozenset()
    """Channels whose place in time could not be found."""


def with_triggers(readings: Mapping[str, TableReading], rig: Rig) -> dict[str, TableReading]:
    """Return the readings with the log's trigger columns to be read beside its channels."""
    log = next((name for name, reading in readings.items() if reading.keeps_time), None)
    found: dict[str, TableReading] = dict(readings)
    for kind, file in rig.files.items():
        plan = file.alignment
        if log is None or plan is None or plan.column is None:
            continue
        picked = pick_columns(ChannelPlan("mark", (plan.column,)), found[log].table, rig.name)
        if picked.columns:
            found[log] = replace(found[log], beside={**found[log].beside, kind: picked.columns[0]})
    return found


def aligned(readings: Mapping[str, TableReading], channels: Mapping[str, Channel], rig: Rig, run: str) -> Aligned:
    """Put every waveform that stands beside a log on the log's clock; `channels` are those of the log."""
    log = next((each for each in readings.values() if each.keeps_time and isinstance(each.clock, Clock)), None)
    moved, alignments = dict(readings), dict[str, Alignment]()
    findings: list[Finding] = []
    lost: set[str] = set()
    for name, reading in readings.items():
        if log is None or reading is log or not is_waveform(reading.table) or not reading.plans:
            continue
        kind = next(iter(reading.plans.values())).file
        plan = rig.files[kind].alignment if kind in rig.files else None
        if plan is None:
            findings.append(_not_tied(name, kind, run))
            continue
        found = _place(plan, kind, reading, log, channels)
        if isinstance(found, str):
            findings.append(_not_aligned(name, found, reading, run))
            lost |= set(reading.plans)
        else:
            moved[name] = replace(reading, shift=found.offset)
            alignments[kind] = replace(found, file=Path(name).name)
            findings.append(_told(alignments[kind], run))
    return Aligned(moved, alignments, tuple(findings), frozenset(lost))


def _place(
    plan: AlignmentPlan, kind: str, reading: TableReading, log: TableReading, channels: Mapping[str, Channel]
) -> Alignment | str:
    """Return where a waveform lies on the log's clock, or in words why nobody can say."""
    if plan.by == "offset":
        return Alignment("", plan.by, plan.offset, plan.u_offset)
    width = reading.table.dialect.width
    if plan.channel is not None and plan.channel > width:
        return f"the rig names its channel {plan.channel}, and it has {width}"
    found = _by_trigger(plan, kind, reading, log) if plan.by == "trigger" else _by_level(plan, reading, channels)
    if isinstance(found, str):
        return found
    return Alignment("", plan.by, found.offset, found.u_offset, found.degrees_of_freedom)


def _by_trigger(plan: AlignmentPlan, kind: str, reading: TableReading, log: TableReading) -> Registration | str:
    assert log.columns is not None
    assert isinstance(log.clock, Clock)
    assert plan.column is not None
    name = f'"{plan.column.head}"' if plan.column.head is not None else str(plan.column.position)
    if kind not in log.beside:
        return f"the log has no column {name}, which the rig calls its trigger"
    time = log.clock.time
    known = np.flatnonzero(np.isfinite(time))
    in_log = time[known[rising_edges(log.columns.numbers[log.beside[kind]][known])]]
    step = float(np.median(np.diff(time[known]))) if known.size > 1 else 0.0
    in_wave = rising_edges(_channel(reading, (plan.channel or 1) - 1)) / _rate(reading)
    if not in_log.size or not in_wave.size or step <= 0.0:
        return f"the trigger never rises in {f'the column {name} of the log' if in_wave.size else 'its own channel'}"
    found = edge_registration(in_wave, in_log, step=step)
    if found is None:
        return f"its {in_wave.size} trigger edges and the log's {in_log.size} do not meet, or meet in several ways"
    return found


def _by_level(plan: AlignmentPlan, reading: TableReading, channels: Mapping[str, Channel]) -> Registration | str:
    wanted = _AGAINST if plan.against is None else (plan.against,)
    against = next((name for name in wanted if name in channels), None)
    if against is None:
        return f"the log has no {' and no '.join(wanted)} to correlate it with"
    picked = next(iter(reading.picked.values())).columns
    values = _channel(reading, (picked[0] if picked else 0) if plan.channel is None else plan.channel - 1)
    rate = _rate(reading)
    frame = max(1, round(_STEP * rate))
    step = frame / rate
    # Sound pressure goes as a power of speed of about two: its root is nearer to a straight line.
    level = np.sqrt(short_time_level(values[np.isfinite(values)], frame=frame))
    reference, start = _evenly(channels[against], step)
    try:
        found = level_registration(level, reference, step=step)
    except ValueError:
        return f"its level or the log's {against} stands still, or lasts less than {30 * step:.1f} s"
    if found.explained < _EXPLAINED:
        return f"the log's {against} explains no more than {100 * found.explained:.0f} % of how its level varies"
    if found.rival < _CLEAR:
        return f"several offsets let its level follow the log's {against} nearly as well: no clear peak"
    if found.u_offset > _WIDEST:
        return f"its level follows the log's {against} too loosely: the offset is known to {found.u_offset:.2f} s only"
    return replace(found, offset=found.offset + start)


def _evenly(channel: Channel, step: float) -> tuple[NDArray[np.float64], float]:
    """Return a channel at even steps, each the middle of one, and the time from which they count."""
    order = np.argsort(channel.time, kind="stable")
    time, values = channel.time[order], channel.values[order]
    start = float(time[0])
    middle = start + step * (np.arange(int((time[-1] - start) / step)) + 0.5)
    return np.interp(middle, time, values), start


def _channel(reading: TableReading, column: int) -> NDArray[np.float64]:
    """Return a waveform's channel: as it was read already, or read now."""
    assert reading.columns is not None
    if column in reading.columns.numbers:
        return reading.columns.numbers[column]
    return columns_of(reading.table, [column]).numbers[column]


def _rate(reading: TableReading) -> float:
    assert isinstance(reading.table, NumericTable)
    assert reading.table.rate is not None
    return next((plan.rate for plan in reading.plans.values() if plan.rate is not None), reading.table.rate)


def _told(alignment: Alignment, run: str) -> Finding:
    how = {
        "offset": "as the rig states",
        "trigger": "by the trigger that both recorded",
        "correlation": "by the course of its level",
    }[alignment.by]
    u = "not stated" if alignment.u_offset is None else f"{1e3 * alignment.u_offset:.2g} ms"
    return Finding(
        "waveform-aligned",
        "note",
        f"{alignment.file} begins {alignment.offset:+.3f} s from the log's first stamp, {how} "
        f"(standard uncertainty {u})",
        run=run,
        done="its samples were put on the log's clock",
    )


def _not_tied(name: str, kind: str, run: str) -> Finding:
    return Finding(
        "clock-not-shared",
        "note",
        f"{Path(name).name} is a waveform with a clock of its own, and the rig does not say how it lies beside the log "
        f"(offset, trigger or align under [files.{kind}]); both were set to zero at their first sample",
        run=run,
    )


def _not_aligned(name: str, why: str, reading: TableReading, run: str) -> Finding:
    lost = " and ".join(reading.plans)
    return Finding(
        "waveform-not-aligned",
        "warning",
        f"{Path(name).name} cannot be put on the log's clock: {why}",
        run=run,
        channel=next(iter(reading.plans)),
        effect=f"{lost} and what depends on it are absent",
        done=f"{lost} left out",
    )
