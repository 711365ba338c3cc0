"""propellers.csv, samples.csv and motors.csv."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from isothrust.book.names import Once, bad_name
from isothrust.book.sheet import Column, Sheet, SheetRow
from isothrust.book.toml_section import Remarks
from isothrust.errors import BookError, Where
from isothrust.records.book import Design, Motor, Sample
from isothrust.tables.nearest import names_told

__all__ = ["MOTORS", "PROPELLERS", "SAMPLES", "read_designs", "read_motors", "read_samples"]

PROPELLERS: Final = "propellers.csv"
SAMPLES: Final = "samples.csv"
MOTORS: Final = "motors.csv"

_DESIGN_COLUMNS: Final = (
    Column("design", required=True),
    Column("maker"),
    Column("diameter", "length"),
    Column("pitch", "length"),
    Column("blades", "ratio", unit="1"),
    Column("mass", "mass"),
    Column("max speed", "speed"),
    Column("note"),
)
_SAMPLE_COLUMNS: Final = (
    Column("design", required=True),
    Column("sample", required=True),
    Column("mass", "mass"),
    Column("note"),
)
_MOTOR_COLUMNS: Final = (
    Column("motor", required=True),
    Column("kv", "kv"),
    Column("resistance", "resistance"),
    Column("no-load current", "current"),
    Column("pole pairs", "ratio", unit="1"),
    Column("rotor inertia", "inertia"),
    Column("max current", "current"),
    Column("rotor mass", "mass"),
)


def read_designs(root: Path, remarks: Remarks) -> dict[str, Design] | None:
    """Read propellers.csv; None where it cannot be read: which designs there are is then not known."""
    if not (root / PROPELLERS).is_file():
        remarks.add(
            BookError(
                f"the book has no {PROPELLERS}",
                code="missing-file",
                where=Where(PROPELLERS),
                expected="a table with one row a design: design,maker,diameter [in],pitch [in],blades",
                fix=f"write {PROPELLERS}",
            )
        )
        return None
    designs: dict[str, Design] = {}
    once = Once()
    sheet = Sheet(root / PROPELLERS, PROPELLERS, _DESIGN_COLUMNS, remarks)
    if sheet.place("design") is None:
        return None
    for row in sheet:
        name = _new_name(row, "design", once)
        design = Design(
            name=name or "",
            maker=row.text("maker"),
            diameter=row.positive("diameter"),
            pitch=row.number("pitch", least=0.0),
            blades=_whole(row, "blades"),
            mass=row.positive("mass"),
            max_speed=row.positive("max speed"),
            note=row.text("note"),
            extra=row.extra(),
        )
        # A name that was refused is told once, and not again by every run that uses it.
        designs.setdefault(name or row.text("design"), design)
    return designs


def read_samples(root: Path, designs: dict[str, Design] | None, remarks: Remarks) -> dict[tuple[str, str], Sample]:
    """Read samples.csv, where there is one; `designs` None: which there are is not known."""
    if not (root / SAMPLES).is_file():
        return {}
    samples: dict[tuple[str, str], Sample] = {}
    lines: dict[tuple[str, str], int] = {}
    for row in Sheet(root / SAMPLES, SAMPLES, _SAMPLE_COLUMNS, remarks):
        design = row.need("design", expected="a design of propellers.csv", fix="fill the cell, or delete the row")
        name = row.need("sample", expected="the mark on that propeller", fix="fill the cell, or delete the row")
        if design and designs is not None and design not in designs:
            _unknown_design(row, design, designs)
        earlier = lines.setdefault((design, name), row.row.line)
        if design and name and earlier != row.row.line:
            what = f'sample "{name}" of {design} stands in line {earlier} already'
            row.problem(
                "duplicate-name", what, "sample", expected="each sample once", fix="rename or delete one of them"
            )
        samples[design, name] = Sample(design, name, row.positive("mass"), row.text("note"), row.extra())
    return samples


def read_motors(root: Path, remarks: Remarks) -> dict[str, Motor]:
    """Read motors.csv, where there is one."""
    if not (root / MOTORS).is_file():
        return {}
    motors: dict[str, Motor] = {}
    once = Once()
    for row in Sheet(root / MOTORS, MOTORS, _MOTOR_COLUMNS, remarks):
        name = _new_name(row, "motor", once)
        motor = Motor(
            name=name or "",
            kv=row.positive("kv"),
            resistance=row.positive("resistance"),
            no_load_current=row.number("no-load current", least=0.0),
            pole_pairs=row.positive("pole pairs"),
            rotor_inertia=row.positive("rotor inertia"),
            max_current=row.positive("max current"),
            rotor_mass=row.positive("rotor mass"),
            extra=row.extra(),
        )
        if name:
            motors[name] = motor
    return motors


def _new_name(row: SheetRow, column: str, once: Once) -> str | None:
    """Return the row's name where it can be used and is new."""
    name = row.need(column, expected="a name", fix="give it a name, or delete the row")
    if not name:
        return None
    reason = bad_name(name)
    if reason is not None:
        row.problem("bad-name", f'"{name}" cannot be a name: {reason}', column, expected="letters, digits and - _ . x")
        return None

    def tell(what: str) -> None:
        row.problem("duplicate-name", what, column, expected="each name once", fix="rename or delete one of the two")

    return name if once.check(name, row.row.line, tell) else None


def _whole(row: SheetRow, column: str) -> int | None:
    value = row.positive(column)
    if value is None or value == int(value):
        return None if value is None else int(value)
    what = f'"{column}" is {row.text(column)}'
    row.problem("not-whole", what, column, expected="a whole number", fix="mend the number")
    return None


def _unknown_design(row: SheetRow, design: str, designs: dict[str, Design]) -> None:
    row.problem(
        "unknown-design",
        f'there is no design "{design}"',
        "design",
        expected=names_told(design, designs, otherwise=f"a design of {PROPELLERS}, which holds none yet"),
        fix=f"mend the name, or add the design to {PROPELLERS}",
    )
