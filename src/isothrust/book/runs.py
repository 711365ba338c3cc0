"""runs.csv of one campaign: one row a run."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, get_args

from isothrust.book.airs import StatedAir, air_of, row_air
from isothrust.book.dates import AmbiguousDateError, iso_date
from isothrust.book.emptycells import spans
from isothrust.book.names import Once, bad_name, bad_raw_path
from isothrust.book.sheet import Column, Sheet, SheetRow
from isothrust.book.standardpressure import standard_pressure
from isothrust.book.toml_section import Remarks, nearest
from isothrust.records.air import Air
from isothrust.records.balance import Trial
from isothrust.records.book import Design, Kind, Run
from isothrust.records.finding import Finding
from isothrust.records.rig import Rig
from isothrust.tables.nearest import names_told

__all__ = ["FILE_COLUMNS", "KINDS", "RUNS", "RunContext", "read_runs"]

RUNS: Final = "runs.csv"
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)
FILE_COLUMNS: Final = ("log", "vibration", "sound", "calibrator", "background")

_COLUMNS: Final = (
    Column("run", required=True),
    Column("design", required=True),
    Column("sample", required=True),
    Column("mounting"),
    Column("kind", required=True),
    Column("log", required=True),
    Column("vibration"),
    Column("sound"),
    Column("calibrator"),
    Column("background"),
    Column("date"),
    Column("temperature", "temperature"),
    Column("pressure", "pressure"),
    Column("humidity", "humidity"),
    Column("added inertia", "inertia"),
    Column("trial mass", "mass"),
    Column("trial radius", "length"),
    Column("trial angle", "angle"),
    Column("turned", "angle"),
    Column("note"),
)


@dataclass(frozen=True, slots=True)
class RunContext:
    """What a row of runs.csv leans on."""

    campaign: str
    rig: Rig
    designs: Mapping[str, Design] | None
    """None where propellers.csv cannot be read."""
    campaign_air: Mapping[str, StatedAir]
    book_air: Mapping[str, StatedAir]


def read_runs(path: Path, shown: str, context: RunContext, remarks: Remarks) -> tuple[Run, ...]:
    """Read a campaign's runs; what is missing or wrong in any row is noted."""
    runs: list[Run] = []
    airless: dict[tuple[str, ...], list[str]] = {}
    strange: dict[str, list[SheetRow]] = {}
    once = Once()
    for row in Sheet(path, shown, _COLUMNS, remarks):
        run, missing = _run(row, context, once)
        if run.design and context.designs is not None and run.design not in context.designs:
            strange.setdefault(run.design, []).append(row)
        if missing and run.kind != "zero":
            airless.setdefault(missing, []).append(run.name)
        runs.append(run)
    for design, rows in strange.items():
        _tell_unknown_design(design, rows, context.designs or {})
    for missing, names in airless.items():
        remarks.findings.append(_airless(shown, missing, names))
    remarks.findings.extend(standard_pressure(shown, runs))
    return tuple(runs)


def _airless(shown: str, missing: tuple[str, ...], names: list[str]) -> Finding:
    """Return the warning about runs whose air is not known; a zero run needs none."""
    what = missing[0] if len(missing) == 1 else f"{', '.join(missing[:-1])} or {missing[-1]}"
    message = (
        f"{shown}: nobody states {what} of {_listed(names)}, so the density is not known: coefficients and figures in"
        f" standard air are absent. State {'it' if len(missing) == 1 else 'them'} in those rows, in campaign.toml,"
        " or under [air] in book.toml."
    )
    return Finding("air-unknown", "warning", message, count=len(names), done="figures left in the air of the day")


def _run(row: SheetRow, context: RunContext, once: Once) -> tuple[Run, tuple[str, ...]]:
    name = _name(row, once)
    again = f"then: isothrust check {name}" if name else "then: isothrust check"
    kind = _kind(row, again)
    design = _design(row, kind, again)
    sample = row.text("sample")
    if not sample and kind != "zero":
        row.need("sample", expected="which propeller of the design it was", fix="write the sample's mark", then=again)
    air = air_of(context.rig, row_air(row), context.campaign_air, context.book_air)
    run = Run(
        name=name,
        campaign=context.campaign,
        design=design,
        sample=sample,
        # A row is one mounting, unless several rows say that they share one.
        mounting=row.text("mounting") or name,
        kind=kind,
        files=_files(row, again),
        date=_date(row),
        air=air if isinstance(air, Air) else None,
        note=row.text("note"),
        line=row.row.line,
        added_inertia=row.positive("added inertia"),
        trial=_trial(row),
        turned=_turned(row),
        extra=row.extra(),
    )
    return run, () if isinstance(air, Air) else air


def _trial(row: SheetRow) -> Trial | None:
    """Return the trial mass of a row; a mass without its radius or angle says nothing."""
    mass = row.positive("trial mass")
    if mass is None:
        return None
    radius, angle = row.positive("trial radius"), row.number("trial angle")
    for column, value in (("trial radius", radius), ("trial angle", angle)):
        if value is None:
            row.need(
                column,
                expected="where the trial mass sat: from the axis, and from the mark in the direction of rotation",
                fix="fill trial radius [mm] and trial angle [deg], or empty trial mass",
            )
    if radius is None or angle is None:
        return None
    return Trial(mass, radius, angle)


def _turned(row: SheetRow) -> bool:
    """Return whether the propeller sat at 180 degrees to its usual place on the hub."""
    angle = row.number("turned")
    if angle is None:
        return False
    turns = angle / math.pi
    if abs(turns - round(turns)) > 0.05:
        row.problem(
            "out-of-range",
            f'"{row.text("turned")}" is neither no turn nor half a turn on the hub',
            "turned",
            expected="0 or 180 degrees",
            fix="write 180 where the propeller was remounted the other way round, else leave it empty",
        )
    return round(turns) % 2 == 1


def _name(row: SheetRow, once: Once) -> str:
    name = row.need("run", expected="the run's name", fix="give the run a name, or delete the row")
    reason = bad_name(name) if name else None
    if reason is not None:
        what = f'"{name}" cannot be the name of a run: {reason}'
        row.problem("bad-name", what, "run", expected="letters, digits and - _ .", fix="rename the run")

    def tell(what: str) -> None:
        row.problem("duplicate-name", what, "run", expected="each run once", fix="rename or delete one of the two")

    if name:
        once.check(name, row.row.line, tell)
    return name


def _kind(row: SheetRow, again: str) -> Kind:
    kinds = ", ".join(KINDS)
    text = row.need("kind", expected=f"one of {kinds}", fix="write what the run was", then=again)
    found = next((kind for kind in KINDS if kind == text.casefold()), None)
    if found is None and text:
        near = nearest(text, KINDS) or KINDS
        row.problem(
            "unknown-kind",
            f'"{text}" is no kind of run',
            "kind",
            expected=f"{near[0]}; known: {kinds}",
            fix="mend the word",
        )
    return found or "ramp"


def _design(row: SheetRow, kind: Kind, again: str) -> str:
    """Return the run's design; a zero run may do without one, for nothing need be mounted."""
    if kind == "zero" and not row.text("design"):
        return ""
    return row.need("design", expected="a design of propellers.csv", fix="write the design", then=again)


def _tell_unknown_design(design: str, rows: Sequence[SheetRow], designs: Mapping[str, Design]) -> None:
    """Note a design that the book does not have, once for all the runs that name it."""
    several = f" ({len(rows)} rows: lines {spans([row.row.line for row in rows])})" if len(rows) > 1 else ""
    rows[0].problem(
        "unknown-design",
        f'there is no design "{design}"{several}',
        "design",
        expected=names_told(design, designs, otherwise="a design of propellers.csv, which holds none yet"),
        fix="mend the name, or add the design to propellers.csv; then: isothrust check",
    )


def _files(row: SheetRow, again: str) -> dict[str, str]:
    files = {column: row.text(column).replace("\\", "/") for column in FILE_COLUMNS if row.text(column)}
    if not files:
        row.need("log", expected="the file under raw/ that the run left", fix="write its name", then=again)
    for column, path in files.items():
        reason = bad_raw_path(path)
        if reason is not None:
            row.problem(
                "bad-path",
                f'"{path}" does not lie under raw/: {reason}',
                column,
                expected="a path relative to the campaign's raw/ folder",
                fix="copy the file under raw/ and write its path from there",
            )
    return files


def _date(row: SheetRow) -> str:
    text = row.text("date")
    if not text:
        return ""
    try:
        return iso_date(text)
    except AmbiguousDateError as error:
        row.problem(
            "ambiguous-date",
            f'"{text}" could be {error}',
            "date",
            expected="year first: 2026-03-01",
            fix="write the year first",
        )
    except ValueError as error:
        row.problem(
            "bad-date",
            f'"{text}": {error}',
            "date",
            expected="year first: 2026-03-01 or 2026-03-01 14:05",
            fix="mend the date",
        )
    return ""


def _listed(names: list[str]) -> str:
    return ", ".join(names) if len(names) <= 4 else f"{', '.join(names[:3])} and {len(names) - 3} more"
