"""A run's files read into one recording, or every reason why they cannot be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from isothrust.errors import LogError, Problem, ProblemsError, Where, raise_problems
from isothrust.ingest.aligning import aligned, with_triggers
from isothrust.ingest.assigning import is_waveform
from isothrust.ingest.besides import read_besides
from isothrust.ingest.clock import Clock
from isothrust.ingest.findings import absent_finding, table_findings
from isothrust.ingest.hidden import refuse_hidden_tables
from isothrust.ingest.picks import claimed_twice
from isothrust.ingest.reading import TableReading, choose, make_channel, read_table
from isothrust.ingest.sources import OpenFiles, open_files
from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Recording, Source
from isothrust.records.rig import Rig

__all__ = ["read_recording"]

_NO_HASHES: Mapping[str, str] = MappingProxyType({})
_EITHER = ("speed", "thrust")
"""At least one of them is needed."""


def read_recording(
    run_name: str, files: Mapping[str, str], rig: Rig, *, hashes: Mapping[str, str] = _NO_HASHES
) -> Recording:
    """Read the files of a run into channels.

    Parameters
    ----------
    run_name
        As in runs.csv; stands in every finding.
    files
        'log', 'vibration', 'sound' -> path; one file may serve several.
    rig
        Which columns mean what.
    hashes
        SHA-256 of the files, by the same keys or by path; '' is noted where one is not given.

    Returns
    -------
    Recording
        Channels in SI on their own clocks, time from the log's first stamp, order as in the log, nothing cleaned.

    Raises
    ------
    LogError, ProblemsError
        missing-file, empty-log, binary-log, not-a-table, ragged-log, missing-column, ambiguous-column, head-mismatch,
        unit-disagrees, two-quantities-one-column, time-without-unit, not-numeric, no-clock. All that is wrong with the
        columns is reported together. A column of time (or a rate) is required, and one of speed and thrust; any other
        channel may be missing, which is the finding channel-missing.
    """
    opened = open_files(run_name, files, rig)
    time = rig.channels.get("time")
    readings = {name: choose(table, opened.plans[name], time, rig.name) for name, table in opened.tables.items()}
    absent = _refuse_wrong_picks(opened, readings, rig)
    readings = _read(with_triggers(readings, rig), absent)
    channels: dict[str, Channel] = {}
    _make(channels, [each for each in readings.values() if not is_waveform(each.table)], absent)
    waves = aligned(readings, channels, rig, run_name)
    placed = [each for each in waves.readings.values() if is_waveform(each.table)]
    _make(channels, placed, absent, but=waves.lost)
    _refuse_too_little(channels, absent, readings, rig)
    findings = list(opened.findings)
    for reading in readings.values():
        findings += table_findings(reading, run_name)
    findings += [*_unshared_clocks(readings, run_name), *waves.findings]
    findings += [absent_finding(quantity, problems, run_name) for quantity, problems in absent.items()]
    beside, about = read_besides(files, rig, run_name)
    findings += about
    return Recording(
        run=run_name,
        channels={quantity: channels[quantity] for quantity in rig.channels if quantity in channels},
        sources=_sources(opened, readings, files, hashes),
        findings=tuple(findings),
        extra=_extra(readings),
        alignments=waves.alignments,
        beside=beside,
    )


def _make(
    channels: dict[str, Channel],
    readings: Iterable[TableReading],
    absent: dict[str, tuple[Problem, ...]],
    *,
    but: frozenset[str] = frozenset(),
) -> None:
    """Make the channels of some tables; why one cannot be made goes into `absent`."""
    for reading in readings:
        for quantity in reading.plans:
            if quantity in absent or quantity in but:
                continue
            made = make_channel(quantity, reading)
            if isinstance(made, Channel):
                channels[quantity] = made
            else:
                absent[quantity] = (made,)


def _refuse_wrong_picks(
    opened: OpenFiles, readings: Mapping[str, TableReading], rig: Rig
) -> dict[str, tuple[Problem, ...]]:
    """Return why optional channels are absent; raise all problems together where the work must stop."""
    absent: dict[str, tuple[Problem, ...]] = {quantity: (problem,) for quantity, problem in opened.absent.items()}
    wrong = list(opened.problems)
    for reading in readings.values():
        for quantity, picked in reading.picked.items():
            wrong += picked.wrong
            if picked.absent and (quantity != "time" or "time" in opened.plans[reading.table.file]):
                absent[quantity] = picked.absent
        wrong += claimed_twice(reading.picked, reading.table, rig.name)
    unread = {quantity for path, plans in opened.plans.items() if path not in readings for quantity in plans}
    there = set(rig.channels) - set(absent) - unread
    needless = unread & {"time", *_EITHER}  # the file's own problem is told already
    if not wrong and ("time" not in absent) and (needless or there & set(_EITHER)):
        return absent
    wrong += [problem for problems in absent.values() for problem in problems]
    if not (set(_EITHER) & set(rig.channels)):
        wrong.append(_neither(rig))
    _raise(wrong)
    return absent


def _read(readings: Mapping[str, TableReading], absent: Mapping[str, object]) -> dict[str, TableReading]:
    """Read every table, and set the clocks of the others to the log's where they run with it."""
    read = {path: read_table(_without(reading, absent)) for path, reading in readings.items()}
    for reading in read.values():
        refuse_hidden_tables(reading)
    _refuse_restarts_among_tags(read)
    main = _main_clock(read)
    return {path: replace(reading, shift=_shift(reading, main)) for path, reading in read.items()}


def _refuse_restarts_among_tags(readings: Mapping[str, TableReading]) -> None:
    """Raise where a logger restarted whose rows come from several sources: their passages might not be the same."""
    for reading in readings.values():
        if reading.restarted is None or reading.table.tag is None or len(readings) == 1:
            continue
        raise LogError(
            f"the log's rows come from several sources, and {reading.restarted.message.partition(': ')[2]}",
            code="several-passages",
            where=Where(reading.table.file),
            expected="one passage, in which all sources go by one clock",
            fix="copy the passage that is this run into a file of its own, and name that file",
        )


def _main_clock(readings: Mapping[str, TableReading]) -> Clock | None:
    clocks = [reading.clock for reading in readings.values() if reading.keeps_time]
    return next((clock for clock in clocks if isinstance(clock, Clock)), None)


def _without(reading: TableReading, absent: Mapping[str, object]) -> TableReading:
    plans = {quantity: plan for quantity, plan in reading.plans.items() if quantity not in absent}
    picked = {name: chosen for name, chosen in reading.picked.items() if name in plans or name == "time"}
    return replace(reading, plans=plans, picked=picked)


def _shift(reading: TableReading, main: Clock | None) -> float:
    """Return what to add to a clock that runs with the main one; 0 where it is a clock of its own."""
    clock = reading.clock
    if not isinstance(clock, Clock) or main is None or clock is main:
        return 0.0
    if is_waveform(reading.table) or (reading.table.tag is None and not _overlap(clock, main)):
        return 0.0
    return clock.first - main.first


def _overlap(one: Clock, other: Clock) -> bool:
    """Say whether two clocks may be one: their stamps overlap by half of the shorter span."""
    (start, end), (begin, stop) = _span(one), _span(other)
    return min(end, stop) - max(start, begin) >= 0.5 * min(end - start, stop - begin)


def _span(clock: Clock) -> tuple[float, float]:
    times = clock.time[clock.time == clock.time]
    return clock.first + float(times.min()), clock.first + float(times.max())


def _unshared_clocks(readings: Mapping[str, TableReading], run: str) -> list[Finding]:
    main = _main_clock(readings)
    return [
        Finding(
            "clock-not-shared",
            "note",
            f"{Path(path).name} has a clock of its own, which does not overlap with the log's; "
            "both were set to zero at their first stamp",
            run=run,
        )
        for path, reading in readings.items()
        if main is not None
        and isinstance(reading.clock, Clock)
        and reading.clock is not main
        and reading.table.tag is None
        and not is_waveform(reading.table)
        and not _overlap(reading.clock, main)
    ]


def _refuse_too_little(
    channels: Mapping[str, Channel],
    absent: Mapping[str, tuple[Problem, ...]],
    readings: Mapping[str, TableReading],
    rig: Rig,
) -> None:
    """Raise where neither speed nor thrust came out of the columns, or the log's clock cannot be read."""
    clocks = [
        reading.clock for reading in readings.values() if reading.keeps_time and isinstance(reading.clock, Problem)
    ]
    if clocks:
        _raise([*clocks, *(problem for problems in absent.values() for problem in problems if problem not in clocks)])
    if not set(_EITHER) & set(channels):
        _raise([problem for problems in absent.values() for problem in problems] or [_neither(rig)])


def _neither(rig: Rig) -> Problem:
    return Problem(
        "no-speed-or-thrust",
        "the rig records neither speed nor thrust",
        Where(f"rigs/{rig.name}.toml"),
        "at least one of them, in the log",
        "add  [channels.thrust]  or  [channels.speed]  with the column's head and unit",
    )


def _raise(problems: list[Problem]) -> None:
    distinct = list(dict.fromkeys(problems))
    raise_problems(distinct, LogError if len(distinct) == 1 else ProblemsError)


def _sources(
    opened: OpenFiles, readings: Mapping[str, TableReading], files: Mapping[str, str], hashes: Mapping[str, str]
) -> tuple[Source, ...]:
    """Return each file once, with the tables that were read from it."""
    found: dict[str, Source] = {}
    for name, reading in readings.items():
        path, dialect = opened.paths[name], str(reading.table.dialect)
        keys = [key for key, file in files.items() if file == path]
        digest = next((hashes[key] for key in (*keys, path) if key in hashes), "")
        rows = reading.columns.rows if reading.columns is not None else 0
        if path in found:
            rows, dialect = rows + found[path].rows, f"{found[path].dialect}; {dialect}"
        found[path] = Source(path, digest, rows, dialect)
    return tuple(found.values())


def _extra(readings: Mapping[str, TableReading]) -> dict[str, str]:
    """Keep what was not used and may interest somebody: lines above the rows, heads of unread columns."""
    extra: dict[str, str] = {}
    for path, reading in readings.items():
        prefix = "" if len(readings) == 1 else f"{Path(path).name}: "
        if reading.table.layout.preamble:
            extra[f"{prefix}preamble"] = "\n".join(line for _, line in reading.table.layout.preamble)
        used = {column for picked in reading.picked.values() for column in picked.columns}
        unread = [head.text for place, head in enumerate(reading.table.heads) if place not in used and head.text]
        if unread:
            extra[f"{prefix}unread columns"] = ", ".join(unread)
    return extra
