"""The air of a run whose own row says nothing: that of the previous run of the same day, and marked as such."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

__all__ = ["AIR_CELLS", "with_air_of_the_day"]

AIR_CELLS: Final = ("temperature", "pressure", "humidity")
_DAY: Final = len("2026-03-01")
_MARK: Final = "air of run"


def with_air_of_the_day(
    rows: Sequence[Mapping[str, str]], earlier: Sequence[Mapping[str, str]] = ()
) -> tuple[list[dict[str, str]], tuple[str, ...]]:
    """Return rows with their air filled in from the previous run of their day, and the names of those filled.

    Parameters
    ----------
    rows
        Cells of new rows, by the names of columns, in the order in which they are written.
    earlier
        Rows that the table has already. Only a row with air cells of its own lends them: nothing is handed on twice
        removed, so that the note names the run at which the air was read.
    """
    filled: list[dict[str, str]] = []
    names: list[str] = []
    for place, row in enumerate(rows):
        lender = (
            None if _has_air(row) or not _day(row) else _previous(row, [*earlier, *rows[:place]], rows[place + 1 :])
        )
        if lender is None:
            filled.append(dict(row))
            continue
        note = f"{_MARK} {lender['run']}, the previous of that day"
        notes = "; ".join(part for part in (row.get("note", ""), note) if part)
        filled.append({**row, **{cell: lender.get(cell, "") for cell in AIR_CELLS}, "note": notes})
        names.append(row["run"])
    return filled, tuple(names)


def _previous(
    row: Mapping[str, str], before: Sequence[Mapping[str, str]], after: Sequence[Mapping[str, str]]
) -> Mapping[str, str] | None:
    """Return the last run of the row's day with air of its own that was not later.

    Times of day tell which was earlier; where one of the two has none, the order in the table does.
    """
    timed = len(row.get("date", "")) > _DAY
    ours = row.get("date", "")
    earlier = [
        other for other in before if not (timed and len(other.get("date", "")) > _DAY and other.get("date", "") > ours)
    ]
    earlier += [
        other for other in after if timed and len(other.get("date", "")) > _DAY and other.get("date", "") <= ours
    ]
    lenders = [other for other in earlier if _day(other) == _day(row) and _has_own_air(other)]
    return max(reversed(lenders), key=lambda other: other.get("date", ""), default=None)


def _day(row: Mapping[str, str]) -> str:
    date = row.get("date", "")
    return date[:_DAY] if len(date) >= _DAY else ""


def _has_air(row: Mapping[str, str]) -> bool:
    return any(row.get(cell) for cell in AIR_CELLS)


def _has_own_air(row: Mapping[str, str]) -> bool:
    return _has_air(row) and _MARK not in row.get("note", "")
