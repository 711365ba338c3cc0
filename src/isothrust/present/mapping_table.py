"""What the columns of unknown logs were taken for, and what is left to the tester, as tables and as objects."""

from __future__ import annotations

from collections.abc import Sequence

from isothrust.present.table import Mark, Table
from isothrust.records.mapping import ColumnMapping, LayoutMapping

__all__ = ["mapping_object", "mapping_table"]

_HEAD_WIDTH = 26
_UNITS_SHOWN = 2


def mapping_table(title: str, mapping: LayoutMapping) -> Table:
    """Return a row for each column: where it stands, what it is read as, in which unit, why, and what else."""
    rows = tuple(_row(column) for column in mapping.columns)
    marks: tuple[Mark, ...] = tuple(_mark(column) for column in mapping.columns)
    heads = ("", "head", "reads as", "unit", "why", "or")
    return Table(title, heads, rows, frozenset({1, 2, 3, 4, 5}), _notes(mapping.columns), 4, marks)


def _row(column: ColumnMapping) -> tuple[str, ...]:
    head = column.head if len(column.head) <= _HEAD_WIDTH else column.head[: _HEAD_WIDTH - 1] + "…"
    why = "; ".join(each.words for each in column.evidence)
    # What holds for every speed is said once, below.
    remarks = "; ".join(column.remarks if column.quantity != "speed" or column.electrical else column.remarks[1:])
    return (str(column.position), head, _read_as(column), _unit(column), _joined(why, remarks), _others(column))


def _joined(why: str, remarks: str) -> str:
    return " - ".join(part for part in (why, remarks) if part)


def _read_as(column: ColumnMapping) -> str:
    if column.quantity is None:
        return "-"
    return column.quantity if column.role == "channel" else f"({column.quantity})"


def _unit(column: ColumnMapping) -> str:
    if column.unit is not None:
        return column.unit
    if column.quantity is None or not column.needs_unit:
        return ""
    return " ".join(["?", ", ".join(choice.unit for choice in column.units[:_UNITS_SHOWN])]).strip()


def _others(column: ColumnMapping) -> str:
    return "\n".join(column.alternatives[:3])


def _mark(column: ColumnMapping) -> Mark:
    if column.role == "channel":
        return "first" if column.unit is not None or not column.needs_unit else "warning"
    return "body"


def _notes(columns: Sequence[ColumnMapping]) -> tuple[str, ...]:
    notes = []
    if any(column.role == "beside" for column in columns):
        notes.append("in brackets: known, and not read; the rig file says why")
    if any(column.needs_unit and column.quantity for column in columns):
        notes.append("?: the logs do not tell the unit; the likeliest first, none is written until you decide")
    if any(column.quantity == "speed" and column.role == "channel" and not column.electrical for column in columns):
        notes.append("speed is taken as the rotor's own; where the column is electrical speed, write pole_pairs")
    return tuple(notes)


def mapping_object(mapping: LayoutMapping) -> dict[str, object]:
    """Return a layout as the object that `new --from --json` prints."""
    return {
        "files": list(mapping.files),
        "dialect": mapping.dialect,
        "columns": [_column_object(column) for column in mapping.columns],
    }


def _column_object(column: ColumnMapping) -> dict[str, object]:
    return {
        "position": column.position,
        "head": column.head,
        "quantity": column.quantity,
        "role": column.role,
        "unit": column.unit,
        "unit_from": column.unit_from or None,
        "units_possible": [{"unit": choice.unit, "meaning": choice.meaning} for choice in column.units],
        "evidence": [
            {"kind": each.kind, "words": each.words, "weight": each.weight, "quantity": each.quantity or None}
            for each in column.evidence
        ],
        "alternatives": list(column.alternatives),
        "remarks": list(column.remarks),
        "sign": column.sign,
    }
