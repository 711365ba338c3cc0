"""A small book in which one run carries a real fail and gives figures all the same: its propeller is on backwards."""

from __future__ import annotations

from pathlib import Path

from support.bench_books import write_bench_book

BACKWARDS = "r003"
WEAK = 0.3
"""Of its thrust, about what is left of it is far below any propeller of that size."""


def write_failing_book(root: Path) -> Path:
    """Write the small bench book without its file of prose, the thrust of one run a fraction of what it was."""
    write_bench_book(root)
    raw = root / "campaigns/spring/raw"
    (raw / "r900.csv").unlink()
    runs = root / "campaigns/spring/runs.csv"
    lines = [line for line in runs.read_text(encoding="utf-8").splitlines() if not line.startswith("r900,")]
    runs.write_text("\n".join([*lines, ""]), encoding="utf-8")
    weaken(raw / f"{BACKWARDS}.csv")
    return root


def weaken(path: Path) -> None:
    """Scale the thrust column of a log."""
    head, *rows = path.read_text(encoding="utf-8").splitlines()
    column = head.split(",").index("axial_gf")
    weaker = []
    for row in rows:
        cells = row.split(",")
        cells[column] = f"{WEAK * float(cells[column]):.2f}"
        weaker.append(",".join(cells))
    path.write_text("\n".join([head, *weaker, ""]), encoding="utf-8")
