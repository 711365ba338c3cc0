"""One run in an explanation: files and hashes, air, zeros, lags, inertia, findings."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from isothrust.present.decided_table import decision_sentence
from isothrust.present.explanation_sound import SOUND_READING, sound_lines
from isothrust.present.explanation_steps import STEPS_READING, steps_lines
from isothrust.present.explanation_words import (
    GAP_LINE,
    answer,
    channel_unit,
    freedom,
    indented,
    paragraph,
    table_at,
    title,
    working,
)
from isothrust.present.findings_table import findings_table
from isothrust.present.plain import Line
from isothrust.present.rounding import plainly
from isothrust.present.shown import unit_label
from isothrust.present.table import Table
from isothrust.quantities import CHANNELS, MEASURANDS
from isothrust.records.air import Air
from isothrust.records.reduced import ReducedRun, ZeroFit
from isothrust.records.rig import Rig
from isothrust.records.trail import FileFacts, RunFacts, ZeroLevel

__all__ = ["reading_lines", "run_lines"]

ORIGINS: Final[Mapping[str, str]] = MappingProxyType(
    {"run": "read for this run", "campaign": "campaign.toml", "book": "the book's default, not read on the day"}
)
LAGGARDS: Final[Mapping[str, str]] = MappingProxyType({"electrical": "voltage, current"})
"""Channels that share a lag."""


READING: Final = """
Zero: mean of the readings with the motor off and the rotor still, from and to in seconds from the log's first stamp;
readings further from the median than 4 * 1.4826 times the median distance from it are left out. What is taken out is a
straight line in time from the middle of one window to that of the next, level before the first and after the last. Its
u: standard error of the levels, greatest drift between two over sqrt(12), and the fixed part that the rig states.

Lag: against the speed channel (thrust, where there is none); a reading late by d was d times its rate of change less.
Inertia: J * d(omega)/dt is taken out of the torque.

Curve: the readings are averaged in short bins, and a cubic spline is fitted to them, as stiff as their noise asks for
(marginal likelihood), with rho, the density of the day. Curves of thrust and torque are then moved to the Reynolds
number of standard air, where speeds are enough to tell a slope; half of that correction stands in the budget.

Budget of a run: % of a curve is what one standard uncertainty of the source does to it. A contribution is the sum over
the curves of that, times the per cent of the figure that 1 % of the curve makes; of noise, the root of the sum of their
squares.
"""
"""What holds for every run, told once."""


def reading_lines(width: int, *, steps: bool, sound: bool = False) -> list[Line]:
    """Return how the parts on runs are to be read; `steps`, `sound`: some of them have those."""
    texts = [*READING.strip().split("\n\n"), *([STEPS_READING] if steps else []), *([SOUND_READING] if sound else [])]
    return [*title("How the runs were reduced"), *(line for text in texts for line in paragraph(text, width))]


def run_lines(run: RunFacts, rig: Rig, width: int) -> list[Line]:
    """Return what is known of a run beside its figures."""
    reduced = run.reduced
    what = [reduced.design, f"sample {reduced.sample}" if reduced.sample else "", reduced.kind, reduced.date]
    mounting = f"mounting {reduced.mounting}" if reduced.mounting else "a mounting of its own"
    lines = [
        *title(f"Run {reduced.campaign}/{reduced.run}"),
        indented(", ".join(filter(None, [*what[:2], mounting, *what[2:]]))),
    ]
    if run.note:
        lines += paragraph(f"note: {run.note}", width)
    lines += _files(run.files)
    lines += _air(run.air, reduced, width)
    lines += _zeros(run, rig, width)
    lines += _lags(reduced, width)
    lines += _inertia(reduced, width)
    if reduced.response is not None:
        lines += steps_lines(reduced.response, width)
    if reduced.sound is not None:
        lines += sound_lines(reduced.sound, reduced.abscissa, width)
    if reduced.findings:
        lines += [GAP_LINE, indented("findings"), *table_at(findings_table("", reduced.findings), width, 2)]
    else:
        lines.append(indented("findings: none"))
    if run.decision is not None:
        lines += paragraph(f"decision: {decision_sentence(run.decision)}", width)
    return lines


def _files(files: tuple[FileFacts, ...]) -> list[Line]:
    lines = [indented("files")]
    for file in files:
        lines.append(indented(f"{file.kind}: {file.file}", 2))
        if not file.sha256:
            lines.append(indented("the file is not there", 3))
            continue
        lines.append(indented(f"sha256 {file.sha256}", 3))
        if file.first_sha256 and file.first_sha256 != file.sha256:
            lines.append(indented(f"first seen as {file.first_sha256}: it has been changed", 3))
        rows = "" if file.rows is None else f"{file.rows} rows; "
        lines.append(indented(f"{rows}{file.dialect}", 3))
    return lines


def _air(air: Air | None, reduced: ReducedRun, width: int) -> list[Line]:
    if air is None:
        return [
            GAP_LINE,
            *paragraph(
                "air: not known. The curves were fitted as if it had been standard air, and figures hold in the air of "
                "the day",
                width,
            ),
        ]
    rows = []
    for name, reading, spread in (
        ("temperature", air.temperature, "K"),
        ("pressure", air.pressure, "hPa"),
        ("humidity", air.humidity, "%"),
    ):
        unit = channel_unit(name)
        u = "not stated" if reading.uncertainty is None else f"{plainly(reading.uncertainty / unit.factor)} {spread}"
        value = f"{plainly(unit.from_si(reading.value))} {unit.text}"
        in_si = f"{working(reading.value)} {CHANNELS[name].si}".removesuffix(" 1")
        rows.append((name, value, in_si, u, ORIGINS[reading.origin]))
    heads = ("air", "reading", "in SI", "standard uncertainty", "where from")
    lines = [GAP_LINE, *table_at(Table("", heads, tuple(rows), frozenset({0, 3, 4})), width)]
    if reduced.density is not None:
        lines.append(indented(f"rho = {working(reduced.density)} kg/m3, density of the day by CIPM-2007 (400 ppm CO2)"))
    return lines


def _zeros(run: RunFacts, rig: Rig, width: int) -> list[Line]:
    if not run.reduced.zeros:
        return []
    rows = [
        (
            name,
            f"{level.start:.6f}",
            f"{level.end:.6f}",
            working(level.level),
            answer(level.error),
            str(level.readings),
            str(level.left_out),
        )
        for name, levels in run.zeros.items()
        for level in levels
    ]
    heads = ("zero of", "from [s]", "to [s]", "level [SI]", "standard\nerror [SI]", "readings", "left out")
    lines = [GAP_LINE, *(table_at(Table("", heads, tuple(rows)), width) if rows else [])]
    for name, zero in run.reduced.zeros.items():
        lines += paragraph(_zero_words(name, zero, run.zeros.get(name, ()), rig), width)
    return lines


def _zero_words(name: str, zero: ZeroFit, levels: tuple[ZeroLevel, ...], rig: Rig) -> str:
    unit = CHANNELS[name].si
    if not levels:
        if zero.before is None:
            return f"zero of {name}: none could be read; the readings were taken as they are"
        return f"zero of {name}: {working(zero.before)} {unit}, as the rig file states it; no spell to read one from"
    plan = rig.channels.get(name)
    fixed = 0.0 if plan is None or plan.uncertainty is None else plan.uncertainty.absolute
    error = math.sqrt(sum(level.error**2 for level in levels) / len(levels))
    drift = max((abs(b.level - a.level) for a, b in pairwise(levels)), default=0.0)
    moved = f" + {answer(drift)}^2 / 12" if len(levels) > 1 else ""
    stated = f" + {answer(fixed)}^2" if fixed else ""
    parts = f"sqrt({answer(error)}^2{moved}{stated})"
    return f"u(zero of {name}) = {parts} = {answer(zero.uncertainty)} {unit}"


def _lags(reduced: ReducedRun, width: int) -> list[Line]:
    if not reduced.lags:
        return []
    rows = tuple(
        (
            LAGGARDS.get(name, name),
            answer(1e3 * lag.value),
            answer(1e3 * lag.uncertainty),
            freedom(lag.degrees_of_freedom),
            lag.origin,
        )
        for name, lag in reduced.lags.items()
    )
    heads = ("lag of", "late by [ms]", "u [ms]", "dof", "where from")
    return [GAP_LINE, *table_at(Table("", heads, rows, frozenset({0, 4})), width)]


def _inertia(reduced: ReducedRun, width: int) -> list[Line]:
    inertia = reduced.inertia
    if inertia is None:
        if not reduced.inertia_wanted:
            return []
        return paragraph(
            "inertia: not known; what accelerates the rotor is still inside the torque",
            width,
        )
    unit = MEASURANDS["rotor-inertia"].shown_unit
    shown = f"{answer(inertia.value / unit.factor)} {unit_label('rotor-inertia')}"
    return paragraph(
        f"inertia: J = {working(inertia.value)} kg m2 = {shown}, u = {answer(inertia.uncertainty)} kg m2, dof "
        f"{freedom(inertia.degrees_of_freedom)}, from {inertia.origin}",
        width,
    )
