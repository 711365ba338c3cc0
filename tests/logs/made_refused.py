"""Logs that cannot be read, each for one reason, and the error that names it."""

from __future__ import annotations

import gzip
import json
from datetime import datetime

from logs.made_good import beside, tagged
from logs.made_odd import renamed
from logs.made_text import cells, clock, joined, table, with_time
from logs.truth import HEADS


def refused() -> dict[str, tuple[bytes, str]]:
    """Return the files that cannot be read, each for one reason."""
    plain, packed = table(), gzip.compress(table().encode(), mtime=0)
    binary = bytes((7 * k + k // 3) % 256 for k in range(4000))
    wrapped = "".join(line[at : at + 40] + "\n" for line in plain.splitlines() for at in range(0, len(line), 40))
    twice = joined([[*HEADS[:2], "Rpm", *HEADS[3:], "RPM"], *([*row, row[2]] for row in cells())])
    prose = "Dear all,\n\nthe run of 3 May went well, apart from the wind. We shall repeat it.\nYours, A.\n" * 5
    gone = renamed(("rpm", "n_rot"), ("axial", "cell 1"), ("t", "clock"))
    spread = json.dumps([dict(zip(HEADS, row, strict=True)) for row in cells()], indent=2)
    two_tables = plain + "\n" + joined([["n", *HEADS], *([str(k), *row] for k, row in enumerate(cells()))])
    noon = clock(datetime(2024, 4, 30, 12), "%H:%M:%S.")
    return {
        "columns-gone.csv": (gone, 'error = "missing-column"\nproblems = 3\n'),
        "no-clock-column.csv": (renamed(("t", "stamp")), 'error = "missing-column"\nproblems = 1\n'),
        "no-head.csv": (joined(cells()).encode(), 'error = "missing-column"\nproblems = 8\n'),
        "two-heads-alike.csv": (twice.encode(), 'error = "ambiguous-column"\n'),
        "head-too-short.csv": (plain.replace("left,right", "left right", 1).encode(), 'error = "head-mismatch"\n'),
        "unit-disagrees.csv": (renamed(("axial", "axial [N]")), 'error = "unit-disagrees"\n'),
        "unit-of-another-quantity.csv": (renamed(("axial", "axial [V]")), 'error = "unit-disagrees"\n'),
        "time-without-unit.csv": (plain.encode(), 'rig = "stamps"\nerror = "time-without-unit"\n'),
        "stamps-with-unit.csv": (with_time(noon).encode(), 'error = "not-numeric"\n'),
        "wrapped-lines.txt": (wrapped.encode(), 'error = "ragged-log"\n'),
        "tagged.csv": (tagged().encode(), 'error = "tagged-rows"\nproblems = 1\n'),
        "tagged-evenly.csv": (tagged(fill="0").encode(), 'error = "tagged-rows"\nproblems = 1\n'),
        "objects-over-many-lines.json": (spread.encode(), 'error = "not-a-table"\n'),
        "tag-unknown.csv": (
            tagged().replace("PM", "PW").encode(),
            'rig = "tagged"\nerror = "no-such-tag"\nproblems = 1\n',
        ),
        "two-tables-fit.csv": (two_tables.encode(), 'error = "several-tables"\nproblems = 1\n'),
        "two-blocks-fit.csv": (beside().encode(), 'error = "several-blocks"\n'),
        "two-passages.csv": (
            joined([HEADS, *cells(), HEADS, *cells()]).encode(),
            'error = "several-passages"\nproblems = 1\n',
        ),
        "empty.csv": (b"", 'error = "empty-log"\n'),
        "blank-lines.csv": (b"\n \n\r\n", 'error = "empty-log"\n'),
        "heads-only.csv": (joined([HEADS]).encode(), 'error = "not-a-table"\n'),
        "prose.txt": (prose.encode(), 'error = "not-a-table"\n'),
        "binary.dat": (binary, 'error = "binary-log"\n'),
        "workbook.csv": (b"PK\x03\x04" + binary, 'error = "binary-log"\n'),
        "damaged.csv.gz": (packed[:30] + bytes(8) + packed[38:], 'error = "damaged-gzip"\n'),
    }
