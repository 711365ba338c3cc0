"""Comparison with printed values, and the report that is made of them: source, printed value, ours, digits agreed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from decimal import Decimal

PROPERTY = "printed value"

HEAD = """# Validation

Every value that a source outside the project prints, beside what the program makes of it. Written by
`.venv/bin/pytest tests/published --validation-report docs/validation.md`; the tests themselves hold each row to its
tolerance: half the last printed digit, or the one that the row's test states.

"""


@dataclass(frozen=True)
class Row:
    """One value as printed, and ours."""

    source: str
    what: str
    printed: str
    ours: float

    @property
    def digits(self) -> str:
        expected = float(self.printed)
        if abs(self.ours - expected) <= 1e-15 * abs(expected):
            return f"all {significant(self.printed)}"
        return f"{max(0.0, -math.log10(abs(self.ours - expected) / abs(expected))):.1f}"


def significant(printed: str) -> int:
    """Number of significant digits of a printed value."""
    return len(Decimal(printed).as_tuple().digits)


def half_last_digit(printed: str) -> float:
    """Half a unit of the last printed digit."""
    exponent = Decimal(printed).as_tuple().exponent
    assert isinstance(exponent, int)
    return 0.5 * 10.0**exponent


class Printed:
    """Holds a value of ours to a printed one and keeps the row for the report."""

    def __init__(self, record: Callable[[str, object], None]) -> None:
        self._record = record

    def __call__(
        self,
        ours: float,
        printed: str,
        *,
        source: str,
        what: str,
        relative: float | None = None,
        absolute: float | None = None,
    ) -> None:
        """Hold `ours` to `printed` (text, as the source has it) within half its last digit or the stated tolerance."""
        expected = float(printed)
        tolerance = half_last_digit(printed) * (1 + 1e-9)
        if relative is not None or absolute is not None:
            tolerance = max((relative or 0.0) * abs(expected), absolute or 0.0)
        assert abs(expected) > tolerance, f"{what}: zero would pass this case"
        self._record(PROPERTY, asdict(Row(source, what, printed, float(ours))))
        assert abs(ours - expected) <= tolerance, f"{what}: {ours!r}, printed {printed} by {source}"


def report(rows: Iterable[Row]) -> str:
    """Return the page, its rows grouped by source."""
    lines = [HEAD]
    by_source: dict[str, dict[tuple[str, str], Row]] = {}
    for row in rows:
        by_source.setdefault(row.source, {})[row.what, row.printed] = row
    for source in sorted(by_source):
        lines += [f"## {source}\n\n", "| what | printed | ours | digits agreed |\n", "| --- | --- | --- | --- |\n"]
        for row in sorted(by_source[source].values(), key=lambda row: (row.what, row.printed)):
            shown = min(15, max(6, significant(row.printed) + 2))
            lines.append(f"| {row.what} | {row.printed} | {row.ours:.{shown}g} | {row.digits} |\n")
        lines.append("\n")
    return "".join(lines).rstrip() + "\n"
