"""Write good/ and bad/: `python tests/logs/make_logs.py`. The files are committed, and truth.py says what they hold."""

from __future__ import annotations

import gzip
import sys
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from logs.truth import HEADS, ROWS, UNITS, reading  # noqa: E402

Cells = list[list[str]]


def cells(rows: Sequence[int] = range(ROWS), *, decimal: str = ".") -> Cells:
    return [[f"{reading(column, k):.3f}".replace(".", decimal) for column in HEADS] for k in rows]


def joined(rows: Sequence[Sequence[str]], delimiter: str = ",", end: str = "\n") -> str:
    return "".join(delimiter.join(row) + end for row in rows)


def table(delimiter: str = ",", decimal: str = ".", end: str = "\n") -> str:
    return joined([HEADS, *cells(decimal=decimal)], delimiter, end)


def with_time(stamp: Callable[[int], str]) -> str:
    return joined([HEADS, *([stamp(k), *row[1:]] for k, row in enumerate(cells()))])


def clock(start: datetime, pattern: str, zone: str = "") -> Callable[[int], str]:
    def stamp(k: int) -> str:
        at = start + timedelta(milliseconds=10 * k)
        return at.strftime(pattern) + f"{at.microsecond // 1000:03d}" + zone

    return stamp


def edited(change: Callable[[Cells], None]) -> str:
    """Return the plain table after its rows (the head row first) were changed in place."""
    rows = [list(HEADS), *cells()]
    change(rows)
    return joined(rows)


def delimiters() -> dict[str, str]:
    aligned = "".join(" ".join(f"{cell:>10}" for cell in row) + "\n" for row in [HEADS, *cells()])
    return {
        "comma.csv": table(),
        "semicolon.csv": table(";"),
        "semicolon-decimal-comma.csv": table(";", ","),
        "tab.txt": table("\t"),
        "tab-decimal-comma.txt": table("\t", ","),
        "bar.txt": table(" | "),
        "blanks.txt": aligned,
        "comma-and-blank.csv": table(", "),
        "blanks-around-cells.csv": joined([HEADS, *([f" {cell} " for cell in row] for row in cells())]),
        "quoted.csv": joined([[f'"{cell}"' for cell in row] for row in [HEADS, *cells()]]),
        "quoted-decimal-comma.csv": joined([HEADS, *([f'"{cell}"' for cell in row] for row in cells(decimal=","))]),
        "exponents.csv": joined([HEADS, *([f"{reading(c, k):.6e}" for c in HEADS] for k in range(ROWS))]),
        "groups-of-digits.csv": joined([HEADS, *([f"{float(c):_.3f}".replace("_", "'") for c in r] for r in cells())]),
    }


def line_ends() -> dict[str, str]:
    return {
        "crlf.csv": table(end="\r\n"),
        "cr.csv": table(end="\r"),
        "cr-crlf.csv": table(end="\r\r\n"),
        "empty-lines.csv": table(end="\n\n"),
        "trailing-delimiter.csv": table(end=",\n"),
        "trailing-delimiter-rows-only.csv": joined([HEADS]) + joined(cells(), end=",\n"),
        "no-last-line-end.csv": table().rstrip("\n"),
    }


def tops() -> dict[str, str]:
    plain = table()
    comments = "# bench of the north loft\n# supply 24 V\n"
    pairs = list(zip(HEADS, UNITS, strict=True))
    return {
        "preamble.csv": "Bench recorder\nstarted;2024-05-01 07:00:00\n\nrate 100 Hz\n" + plain,
        "long-preamble.csv": "".join(f"setting {k} is {k * k}\n" for k in range(2000)) + plain,
        "comments.csv": comments + plain,
        "comments-between.csv": plain.replace("\n400.000", "\n# halfway, all well\n400.000"),
        "head-in-comment.csv": comments + "# " + plain,
        "units-row.csv": joined([HEADS, UNITS, *cells()]),
        "units-in-brackets.csv": joined([[f"{head} [{unit}]" for head, unit in pairs], *cells()]),
        "units-in-round-brackets.csv": joined([[f"{head} ({unit})" for head, unit in pairs], *cells()]),
        "heads-in-capitals.csv": joined([[f" {head.upper()} " for head in HEADS], *cells()]),
        "extra-columns.csv": joined([["n", *HEADS, "state"], *([str(k), *r, "run"] for k, r in enumerate(cells()))]),
    }


def clocks() -> dict[str, dict[str, str]]:
    dated = datetime(2024, 4, 30, 23, 59, 59, 700000)
    return {
        "seconds": {
            "seconds.csv": with_time(lambda k: f"{k / 100:.2f}"),
            "epoch.csv": with_time(lambda k: f"{1714546800 + k / 100:.2f}"),
            "joined-late.csv": with_time(lambda k: f"{17.5 + k / 100:.2f}"),
        },
        "stamps": {
            "iso.csv": with_time(clock(dated, "%Y-%m-%dT%H:%M:%S.")),
            "iso-zone.csv": with_time(clock(dated, "%Y-%m-%dT%H:%M:%S.", "+02:00")),
            "colon-before-milliseconds.csv": with_time(clock(dated, "%Y-%m-%d %H:%M:%S:")),
            "time-of-day-past-midnight.csv": with_time(clock(dated, "%H:%M:%S.")),
            "ambiguous-date-past-midnight.csv": with_time(clock(dated, "%d/%m/%Y %H:%M:%S.")),
        },
        "rate": {"no-time-column.csv": joined([HEADS[1:], *(row[1:] for row in cells())])},
        "lines": {"line-counter.csv": with_time(lambda k: str(3168 + k))},
    }


def good() -> dict[str, bytes]:
    """Return the files by rig and name."""
    plain = table()
    by_rig = {
        "by head": delimiters() | line_ends() | tops(),
        "by position": {"no-head.csv": joined(cells()), "no-head-tab.txt": joined(cells(), "\t")},
        "units from heads": {"units-row-only-there.csv": joined([HEADS, UNITS, *cells()])},
    } | clocks()
    files = {f"{rig}/{file}": text.encode() for rig, group in by_rig.items() for file, text in group.items()}
    return files | {
        "by head/byte-order-mark.csv": b"\xef\xbb\xbf" + plain.encode(),
        "by head/utf-16.csv": plain.encode("utf-16"),
        "by head/utf-16-no-mark.csv": plain.encode("utf-16-le"),
        "by head/code-page-1252.csv": ("# 21 \xb0C, ruhig, B\xf6en\n" + plain).encode("cp1252"),
        "by head/gzip.csv.gz": gzip.compress(plain.encode(), mtime=0),
    }


def glue(rows: Cells) -> None:
    rows[41][2:4] = [rows[41][2] + rows[41][3]]


def split(rows: Cells) -> None:
    rows[11].insert(3, "0")
    del rows[21][5:]


def spoil(rows: Cells) -> None:
    rows[6][2] = "ERR"
    rows[31][3] = "-12.5.0"
    rows[32][2] = "0x1F"


def restart(rows: Cells) -> None:
    rows.insert(41, list(HEADS))


def unplug(rows: Cells) -> None:
    for row in rows[1:]:
        row[6] = "n.c."


def overflow(rows: Cells) -> None:
    rows[9][7] = "inf"


def renamed(*names: tuple[str, str]) -> bytes:
    """Return the plain table with other heads."""
    row = list(HEADS)
    for old, new in names:
        row[row.index(old)] = new
    return joined([row, *cells()]).encode()


def odd() -> dict[str, tuple[bytes, str]]:
    """Return the files that can be read, each with one defect."""
    plain, packed, headless = table(), gzip.compress(table().encode(), mtime=0), joined(cells(), "\t")
    return {
        "truncated-last-line.csv": (plain[:-20].encode(), _finding("truncated-last-line", 1, [81])),
        "truncated-last-digits.csv": (plain[:-3].encode(), _finding("truncated-last-line", 1, [81])),
        "truncated-first-line.txt": (
            headless[8:].encode(),
            'rig = "by position"\n' + _finding("truncated-first-line", 1, [1]),
        ),
        "ragged-rows.csv": (edited(split).encode(), _finding("ragged-rows", 2, [12, 22])),
        "glued-numbers.csv": (edited(glue).encode(), _finding("ragged-rows", 1, [42])),
        "unreadable-cells.csv": (
            edited(spoil).encode(),
            _finding("unreadable-cells", 2, [7, 33], "speed") + _finding("unreadable-cells", 1, [32], "thrust"),
        ),
        "infinite.csv": (edited(overflow).encode(), _finding("unreadable-cells", 1, [10], "current")),
        "repeated-head.csv": (edited(restart).encode(), _finding("repeated-head", 1, [42])),
        "dead-sensor.csv": (
            edited(unplug).encode(),
            _finding("unreadable-cells", 80, [2, 3], "voltage") + _finding("channel-missing", None, [], "voltage"),
        ),
        "column-gone.csv": (renamed(("amp", "I_bus")), _finding("channel-missing", None, [], "current")),
        "nul-tail.csv": (plain[:-30].encode() + bytes(512), _finding("truncated-last-line", 1, [81])),
        "cut-gzip.csv.gz": (packed[:-40], _finding("truncated-last-line", 1, [])),
        "unit-unknown.csv": (renamed(("volt", "volt [ticks]")), _finding("head-unit-differs", None, [], "voltage")),
    }


def refused() -> dict[str, tuple[bytes, str]]:
    """Return the files that cannot be read, each for one reason."""
    plain, packed = table(), gzip.compress(table().encode(), mtime=0)
    binary = bytes((7 * k + k // 3) % 256 for k in range(4000))
    wrapped = "".join(line[at : at + 40] + "\n" for line in plain.splitlines() for at in range(0, len(line), 40))
    twice = joined([[*HEADS[:2], "Rpm", *HEADS[3:], "RPM"], *([*row, row[2]] for row in cells())])
    prose = "Dear all,\n\nthe run of 3 May went well, apart from the wind. We shall repeat it.\nYours, A.\n" * 5
    gone = renamed(("rpm", "n_rot"), ("axial", "cell 1"), ("t", "clock"))
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
        "empty.csv": (b"", 'error = "empty-log"\n'),
        "blank-lines.csv": (b"\n \n\r\n", 'error = "empty-log"\n'),
        "heads-only.csv": (joined([HEADS]).encode(), 'error = "not-a-table"\n'),
        "prose.txt": (prose.encode(), 'error = "not-a-table"\n'),
        "binary.dat": (binary, 'error = "binary-log"\n'),
        "workbook.csv": (b"PK\x03\x04" + binary, 'error = "binary-log"\n'),
        "damaged.csv.gz": (packed[:30] + bytes(8) + packed[38:], 'error = "damaged-gzip"\n'),
    }


def bad() -> dict[str, tuple[bytes, str]]:
    """Return the files with one defect each, and what is to be said about it, as TOML."""
    return odd() | refused()


def _finding(code: str, count: int | None, lines: Sequence[int], channel: str | None = None) -> str:
    entries = [f'code = "{code}"', f"lines = {list(lines)}"]
    entries += [f"count = {count}"] if count is not None else []
    entries += [f'channel = "{channel}"'] if channel is not None else []
    return "[[findings]]\n" + "\n".join(entries) + "\n"


def main() -> None:
    for name, data in good().items():
        path = HERE / "good" / name.replace(" ", "-")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    (HERE / "bad").mkdir(exist_ok=True)
    for name, (data, expected) in bad().items():
        (HERE / "bad" / name).write_bytes(data)
        (HERE / "bad" / f"{name}.expected.toml").write_text(expected, encoding="utf-8")


if __name__ == "__main__":
    main()
