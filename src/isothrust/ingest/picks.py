"""Which column of a log each channel of the rig means, and everything that is wrong with that."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from isothrust.errors import Problem, Where
from isothrust.ingest.units import agreement
from isothrust.records.rig import ChannelPlan, ColumnPick
from isothrust.tables.heads import find_head, nearest
from isothrust.tables.log import LogTable

__all__ = ["Picked", "claimed_twice", "pick_columns"]


@dataclass(frozen=True, slots=True)
class Picked:
    """The columns of one channel in one log."""

    columns: tuple[int, ...] = ()
    """Indices from 0, in the order of the plan's picks; none where a column is missing."""
    absent: tuple[Problem, ...] = ()
    """Columns that are not there: an error where the channel is required, else a finding."""
    wrong: tuple[Problem, ...] = ()
    """What stops the work in any case."""
    notes: tuple[str, ...] = ()
    """Units in heads that were passed over."""


def pick_columns(plan: ChannelPlan, table: LogTable, rig: str) -> Picked:
    """Find the columns of a channel by head or by position."""
    columns: list[int] = []
    absent: list[Problem] = []
    wrong: list[Problem] = []
    notes: list[str] = []
    for pick in plan.picks:
        found, problem = (
            _by_head(pick.head, plan, table, rig) if pick.head is not None else _by_place(pick, plan, table, rig)
        )
        if problem is not None:
            (absent if problem.code == "missing-column" else wrong).append(problem)
        if found is None:
            continue
        columns.append(found)
        conflict, note = _unit_conflict(pick, plan, table, found, rig)
        wrong += [conflict] if conflict is not None else []
        notes += [note] if note is not None else []
    return Picked(tuple(columns) if not absent and not wrong else (), tuple(absent), tuple(wrong), tuple(notes))


def claimed_twice(picked: Mapping[str, Picked], table: LogTable, rig: str) -> list[Problem]:
    """Return a problem for each column that two quantities (or one quantity twice) are made of."""
    owners: dict[int, list[str]] = {}
    for quantity, choice in picked.items():
        for column in choice.columns:
            owners.setdefault(column, []).append(quantity)
    return [
        Problem(
            "two-quantities-one-column",
            f"column {_shown(column, table)} is read as {' and as '.join(names)}",
            Where(table.file, table.dialect.head_line, _head(column, table)),
            "each column read once, as one quantity",
            f"correct the column of all but one of them in rigs/{rig}.toml",
        )
        for column, names in owners.items()
        if len(names) > 1
    ]


def _by_head(head: str, plan: ChannelPlan, table: LogTable, rig: str) -> tuple[int | None, Problem | None]:
    found = find_head(head, table.heads)
    if len(found) == 1:
        return found[0], None
    where = Where(table.file, table.dialect.head_line, head)
    section = f"[channels.{plan.quantity}] in rigs/{rig}.toml"
    if found:
        return None, Problem(
            "ambiguous-column",
            f'{len(found)} columns match the head "{head}" that the rig gives for {plan.quantity}: '
            + ", ".join(_shown(column, table) for column in found),
            where,
            "one column of that name",
            f"give its position from 1 under {section}: column = {found[0] + 1}",
        )
    if table.layout.misfit is not None:
        line, names = table.layout.misfit
        return None, Problem(
            "head-mismatch",
            f"the head row names {names} columns and the rows have {table.dialect.width}: "
            f'which of them is "{head}" ({plan.quantity}) cannot be told',
            Where(table.file, line),
            "as many names as columns",
            f"give the position from 1 under {section}, such as column = 2",
        )
    if not table.heads:
        return None, Problem(
            "missing-column",
            f'the log has no head row, so no column "{head}" for {plan.quantity}',
            Where(table.file, None, head),
            f"a position from 1 to {table.dialect.width}",
            f"give the position under {section}, such as column = 2",
        )
    near = nearest(head, [each.text for each in table.heads])
    return None, Problem(
        "missing-column",
        f'the log has no column "{head}" for {plan.quantity}',
        where,
        "one of its heads: "
        + ", ".join(f'"{name}"' for name in near)
        + (", …" if len(near) < len(table.heads) else ""),
        f'write  column = "{near[0]}"  under {section}, if that is the one',
    )


def _by_place(pick: ColumnPick, plan: ChannelPlan, table: LogTable, rig: str) -> tuple[int | None, Problem | None]:
    place = pick.position or 0
    if 1 <= place <= table.dialect.width:
        return place - 1, None
    return None, Problem(
        "missing-column",
        f"the log has no column {place} for {plan.quantity}: its rows have {table.dialect.width}",
        Where(table.file, table.dialect.first_line),
        f"a position from 1 to {table.dialect.width}",
        f"correct the position under [channels.{plan.quantity}] in rigs/{rig}.toml",
    )


def _unit_conflict(
    pick: ColumnPick, plan: ChannelPlan, table: LogTable, column: int, rig: str
) -> tuple[Problem | None, str | None]:
    """Compare the unit in a column's head with the rig's. A pick by position overrides the head, with a note."""
    head = table.heads[column] if table.heads else None
    if head is None or head.unit is None or plan.unit is None:
        return None, None
    agreed = agreement(head.unit, plan.unit)
    if agreed == "same":
        return None, None
    where = table.dialect.units_line or table.dialect.head_line
    if agreed == "unknown" or pick.position is not None:
        return None, (
            f'{Path(table.file).name}: the log gives "{head.unit}" as the unit of column {_shown(column, table)}; '
            f'{plan.quantity} was read in the rig\'s "{plan.unit}"'
        )
    return Problem(
        "unit-disagrees",
        f'the log gives the unit of "{head.text}" as {head.unit}, the rig reads {plan.quantity} from it in {plan.unit}',
        Where(table.file, where, head.text),
        f"the same unit in both ({agreed})",
        f'write  unit = "{head.unit}"  under [channels.{plan.quantity}] in rigs/{rig}.toml; '
        f"where the log is wrong, pick the column by position: column = {column + 1}",
    ), None


def _shown(column: int, table: LogTable) -> str:
    head = _head(column, table)
    return str(column + 1) if head is None else f'"{head}" ({column + 1})'


def _head(column: int, table: LogTable) -> str | None:
    return table.heads[column].text if table.heads else None
