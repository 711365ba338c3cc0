"""Names in a book, read as quickly as can be and without checking anything: for whoever is still typing."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from isothrust.book.campaigns import CAMPAIGNS, campaign_names
from isothrust.book.settings import BOOK_FILE
from isothrust.book.toml_source import read_toml
from isothrust.tables.text import read_string_table

__all__ = ["comparison_points_named", "designs_named", "motors_named", "runs_named", "samples_named"]

_PROPELLERS: Final = "propellers.csv"
_MOTORS: Final = "motors.csv"
_RUNS: Final = "runs.csv"


def designs_named(root: Path) -> list[str]:
    """Return the designs of propellers.csv, in its order.

    Raises
    ------
    BookError
        As do the others: where a table cannot be read at all.
    """
    return _column(root / _PROPELLERS, "design")


def motors_named(root: Path) -> list[str]:
    """Return the motors of motors.csv, in its order."""
    return _column(root / _MOTORS, "motor")


def comparison_points_named(root: Path) -> dict[str, list[str]]:
    """Return the comparison points as book.toml writes them: 'thrust' and 'speed' -> texts; empty where it has none."""
    if not (root / BOOK_FILE).is_file():
        return {}
    content = read_toml(root / BOOK_FILE, BOOK_FILE).content
    written = {quantity: content.get(f"comparison_{quantity}s") for quantity in ("thrust", "speed")}
    return {
        quantity: [str(point) for point in points] for quantity, points in written.items() if isinstance(points, list)
    }


def runs_named(root: Path) -> list[str]:
    """Return the runs of all campaigns by their own names; those that two campaigns have, with the campaign's."""
    found = [(campaign, run) for campaign in campaign_names(root) for run in _of_campaign(root, campaign, "run")]
    names = [run for _, run in found]
    return [run if names.count(run) == 1 else f"{campaign}/{run}" for campaign, run in found]


def samples_named(root: Path) -> list[str]:
    """Return the names of samples that runs have, each once."""
    samples = (sample for campaign in campaign_names(root) for sample in _of_campaign(root, campaign, "sample"))
    return list(dict.fromkeys(samples))


def _of_campaign(root: Path, campaign: str, head: str) -> list[str]:
    return _column(root / CAMPAIGNS / campaign / _RUNS, head)


def _column(path: Path, head: str) -> list[str]:
    if not path.is_file():
        return []
    table = read_string_table(path)
    place = table.index(head)
    return [] if place is None else [row.cells[place] for row in table.rows if row.cells[place]]
