"""Results as tables: one a campaign and condition, a row a design, sample or run, a column a measurand."""

from __future__ import annotations

import string
from collections.abc import Iterable
from typing import Literal

from isothrust.present.flags import flag_notes
from isothrust.present.shown import condition_words, head, measurand_words, shown_value
from isothrust.present.table import GAP, Table, column_widths
from isothrust.records.result import Condition, Result

__all__ = ["Per", "results_legend", "results_tables"]

Per = Literal["design", "sample", "run"]
ABSENT = "–"
Row = tuple[str, ...]


def results_legend(standard_density: float) -> str:
    """Return what the figures of results are, and what ± means."""
    return (
        f"Figures are in standard air ({standard_density:.4g} kg/m3) unless a line above says otherwise. "
        "± is half the 95 % interval as tested: these samples, on this rig, in this campaign."
    )


def results_tables(results: Iterable[Result], width: int, *, per: Per = "design") -> list[Table]:
    """Return the tables that show the results, none wider than asked where the columns can be split."""
    groups: dict[tuple[str, Condition | None], list[Result]] = {}
    for result in results:
        groups.setdefault((result.campaign, result.condition), []).append(result)
    return [
        table
        for (campaign, condition), members in groups.items()
        for table in _fit(_table(_title(campaign, condition), members, per), len(_labels(per)), width)
    ]


def _title(campaign: str, condition: Condition | None) -> str:
    return f"Campaign {campaign}, {condition_words(condition) or 'figures of whole runs (peaks in the air of the day)'}"


def _labels(per: Per) -> Row:
    return {"design": ("design",), "sample": ("design", "sample"), "run": ("design", "sample", "run")}[per]


def _row_key(result: Result, per: Per) -> Row:
    sample = result.sample or ""
    if per == "design":
        return (result.design,)
    return (result.design, sample) if per == "sample" else (result.design, sample, ", ".join(result.runs))


def _table(title: str, results: list[Result], per: Per) -> Table:
    cells = {(_row_key(result, per), result.measurand): result for result in results}
    rows = list(dict.fromkeys(key for key, _ in cells))
    measurands = list(dict.fromkeys(result.measurand for result in results))
    empty = [name for name in measurands if all(_absent(cells.get((row, name))) for row in rows)]
    shown = [name for name in measurands if name not in empty]
    reasons = _Reasons()
    body = tuple((*row, *(_cell(cells.get((row, name)), row, reasons) for name in shown)) for row in rows)
    labels = tuple(f"\n{label}" for label in _labels(per))
    heads = (*labels, *(head(name) for name in shown))
    notes = (
        *reasons.notes(),
        *_empty_notes(empty, rows, cells),
        *flag_notes((_name(result, per), measurand_words(result.measurand), result.flags) for result in results),
    )
    return Table(title, heads, body if shown else (), frozenset(range(len(labels))), notes)


def _name(result: Result, per: Per) -> str:
    return " ".join(part for part in _row_key(result, per) if part)


def _absent(result: Result | None) -> bool:
    return result is None or result.value is None


class _Reasons:
    """Letters for the reasons why cells are empty, with whom each concerns."""

    def __init__(self) -> None:
        self._holders: dict[str, list[str]] = {}

    def letter(self, reason: str, holder: str) -> str:
        """Return the letter of a reason, and remember whom it concerns."""
        holders = self._holders.setdefault(reason, [])
        if holder not in holders:
            holders.append(holder)
        return _letter(list(self._holders).index(reason))

    def notes(self) -> list[str]:
        """Return one line a reason."""
        return [
            f"{_letter(index)}: {reason} ({', '.join(holders)})"
            for index, (reason, holders) in enumerate(self._holders.items())
        ]


def _letter(index: int) -> str:
    first, second = divmod(index, 26)
    return (string.ascii_lowercase[first - 1] if first else "") + string.ascii_lowercase[second]


def _cell(result: Result | None, row: Row, reasons: _Reasons) -> str:
    if result is None:
        return ABSENT
    if result.value is None:
        return f"{ABSENT} {reasons.letter(result.absent or 'no reason was given', ' '.join(filter(None, row)))}"
    return shown_value(result, result.interval)


def _empty_notes(empty: list[str], rows: list[Row], cells: dict[tuple[Row, str], Result]) -> list[str]:
    """Say why whole columns are left out: measurands with the same reason together, and whom it concerns."""
    by_reasons: dict[tuple[tuple[str, str], ...], list[str]] = {}
    for name in empty:
        found = [(" ".join(filter(None, row)), cells[row, name].absent or "") for row in rows if (row, name) in cells]
        by_reasons.setdefault(tuple(found), []).append(measurand_words(name))
    notes = []
    for reasons, names in by_reasons.items():
        whom: dict[str, list[str]] = {}
        for row, reason in reasons:
            whom.setdefault(reason, []).append(row)
        notes += [
            f"No {', '.join(names)}" + (f" of {', '.join(holders)}" if len(whom) > 1 else "") + f": {reason}."
            for reason, holders in whom.items()
        ]
    return notes


def _without_empty_line(heads: tuple[str, ...]) -> tuple[str, ...]:
    """Take the line of units away where no column has one."""
    units = any("[" in head for head in heads)
    return heads if units else tuple(head.removesuffix("\n") for head in heads)


def _fit(table: Table, labels: int, width: int) -> list[Table]:
    """Split a table's columns so that each part fits the width; notes stand below the last."""
    widths = column_widths(table)
    blocks: list[list[int]] = [[]]
    used = start = sum(widths[:labels]) + GAP * (labels - 1)
    for index in range(labels, len(widths)):
        if blocks[-1] and used + GAP + widths[index] > width:
            blocks.append([])
            used = start
        blocks[-1].append(index)
        used += GAP + widths[index]
    parts = []
    for number, block in enumerate(blocks):
        columns = [*range(labels), *block]
        parts.append(
            Table(
                table.title if number == 0 else "",
                _without_empty_line(tuple(table.heads[index] for index in columns)),
                tuple(tuple(row[index] for index in columns) for row in table.rows),
                table.left,
                table.notes if number == len(blocks) - 1 else (),
            )
        )
    return parts
