"""Logs that read to the one run: dialects, tops, clocks."""

from __future__ import annotations

import gzip
import json
from datetime import datetime, timedelta

from logs.made_text import Cells, cells, clock, joined, table, with_time
from logs.truth import HEADS, ROWS, UNITS, reading

GROUPS = ("clock", "drive", "", "cell a", "cell b", "cell c", "supply", "")
GROUPED = ("t", "cmd", "rpm", "force", "force", "force", "volt", "amp")


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
        "groups-by-comma.csv": joined([HEADS, *([f'"{float(cell):,.3f}"' for cell in row] for row in cells())]),
        "groups-by-point.csv": joined([HEADS, *([grouped(cell) for cell in row] for row in cells())], ";"),
        "groups-by-blank.csv": joined([HEADS, *([grouped(cell, " ") for cell in row] for row in cells())], ";"),
        "whole-thousands.csv": joined([HEADS, *(whole_speed(row) for row in cells())], ";"),
        "tabs-and-blanks.txt": joined([HEADS, *cells()], " \t  "),
        "groups-of-digits.csv": joined([HEADS, *([f"{float(c):_.3f}".replace("_", "'") for c in r] for r in cells())]),
    }


def grouped(cell: str, mark: str = ".") -> str:
    """Return a cell with groups of three digits and a decimal comma."""
    return f"{float(cell):,.3f}".replace(",", "_").replace(".", ",").replace("_", mark)


def whole_speed(row: list[str]) -> list[str]:
    """Return a row whose speed is a whole number with groups of digits."""
    return [*row[:2], f"{float(row[2]):,.0f}", *row[3:]]


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
        "heads-in-groups.csv": "host,set,,force,torque cells,,supply,\n" + plain,
        "heads-and-units-in-groups.csv": "host,set,,force,torque cells,,supply,\n" + joined([HEADS, UNITS, *cells()]),
        "heads-in-capitals.csv": joined([[f" {head.upper()} " for head in HEADS], *cells()]),
        "extra-columns.csv": joined([["n", *HEADS, "state"], *([str(k), *r, "run"] for k, r in enumerate(cells()))]),
    }


def offset_changes(k: int) -> str:
    """Return stamps of one clock, told in summer time first and then in winter time."""
    at = datetime(2024, 10, 27, 2, 59, 59, 700000) + timedelta(milliseconds=10 * k)
    at, zone = (at, "+02:00") if k < 30 else (at - timedelta(hours=1), "+01:00")
    return at.strftime("%Y-%m-%dT%H:%M:%S.") + f"{at.microsecond // 1000:03d}{zone}"


def noon(k: int) -> str:
    return f"12:00:00.{10 * (k - 30):03d} PM"


def day(k: int) -> str:
    return "2024-04-30" if k < 30 else "2024-05-01"


def timed(start: datetime) -> Cells:
    """Return the rows with a time of day in the place of the clock."""
    return [[clock(start, "%H:%M:%S.")(k), *row[1:]] for k, row in enumerate(cells())]


def parts(k: int) -> list[str]:
    """Return minutes, seconds and milliseconds of a clock that was at 3 min 59.7 s when the log began."""
    ms = 239_700 + 10 * k
    return [str(ms // 60_000), str(ms // 1000 % 60), str(ms % 1000)]


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
            "iso-utc.csv": with_time(clock(dated, "%Y-%m-%dT%H:%M:%S.", "Z")),
            "iso-basic.csv": with_time(clock(dated, "%Y%m%dT%H%M%S.", "Z")),
            "iso-offset-changes.csv": with_time(offset_changes),
            "iso-decimal-comma.csv": with_time(clock(dated, '"%Y-%m-%d %H:%M:%S,', '"')),
            "before-noon.csv": with_time(lambda k: f"11:59:59.{700 + 10 * k} AM" if k < 30 else noon(k)),
            "time-of-day-past-midnight.csv": with_time(clock(dated, "%H:%M:%S.")),
            "ambiguous-date-past-midnight.csv": with_time(clock(dated, "%d/%m/%Y %H:%M:%S.")),
        },
        "date and time": {
            "date-and-time.csv": joined([["day", *HEADS], *([day(k), *row] for k, row in enumerate(timed(dated)))]),
        },
        "minutes seconds ms": {
            "minutes-seconds-ms.csv": joined(
                [["min", "s", *HEADS], *([*parts(k), *row[1:]] for k, row in enumerate(cells()))]
            )
        },
        "rate": {"no-time-column.csv": joined([HEADS[1:], *(row[1:] for row in cells())])},
        "lines": {"line-counter.csv": with_time(lambda k: str(3168 + k))},
    }


def objects(row: int) -> str:
    """Return a row as a JSON object."""
    return json.dumps({head: reading(head, row) for head in HEADS})


def nested(row: int) -> str:
    """Return a row as JSON objects inside one."""
    t, cmd, rpm, axial, left, right, volt, amp = (reading(head, row) for head in HEADS)
    cells = {"axial": axial, "pair": {"left": left, "right": right}, "spare": None}
    return json.dumps({"t": t, "drive": {"cmd": cmd, "rpm": rpm, "on": True}, "cells": cells, "bus": [volt, amp]})


def single(row: int, *, units: bool = False) -> str:
    """Return the readings of a row one a line, each with the name of its channel."""
    t, *others = cells([row])[0]
    told = [f",{unit}" if units else "" for unit in UNITS[1:]]
    return "".join(f"{t},{h},{cell}{u}\n" for h, cell, u in zip(HEADS[1:], others, told, strict=True))


def tagged(fill: str = "") -> str:
    """Return the readings of three sources in turn, each row with its tag; `fill` makes the rows equally long."""
    rows = []
    for t, cmd, rpm, axial, left, right, volt, amp in cells():
        rows.append(["LC", t, axial, left, right])
        rows.append(["PM", t, volt, amp, *([fill] if fill else [])])
        rows.append(["RC", t, cmd, rpm, *([fill] if fill else [])])
    return joined(rows)


def beside() -> str:
    """Return the rows in two blocks side by side, the left one ten rows longer."""
    left, right = [[HEADS, *cells(range(45))], [HEADS, *cells(range(45, ROWS))]]
    right += [[""] * len(HEADS)] * (len(left) - len(right))
    return joined([[*one, "", *other] for one, other in zip(left, right, strict=True)])


def forms() -> dict[str, dict[str, str]]:
    """Return logs that are no plain tables."""
    rows = range(ROWS)
    frames = "".join("[" + "|".join(row) + "]" for row in cells())
    return {
        "by head": {
            "objects.jsonl": "".join(objects(k) + "\n" for k in rows),
            "objects-in-a-list.json": "[\n" + ",\n".join(map(objects, rows)) + "\n]\n",
            "long-form.csv": "t,channel,value\n" + "".join(map(single, rows)),
            "long-form-units.csv": "t,signal,reading,unit\n" + "".join(single(k, units=True) for k in rows),
        },
        "tagged": {
            "tagged.csv": tagged(),
            "tagged-evenly.csv": tagged(fill="0"),
            "tagged-by-blanks.txt": tagged().replace(",", "  "),
        },
        "blocks joined": {"blocks-side-by-side.csv": beside()},
        "time by name": {"long-form-no-head.csv": "".join(map(single, rows))},
        "nested": {"objects-in-objects.jsonl": "".join(nested(k) + "\n" for k in rows)},
        "by position": {
            "frames.txt": frames.replace("][", "]\n["),
            "frames-wrapped.txt": "".join(frames[at : at + 80] + "\n" for at in range(0, len(frames), 80)),
            "frames-in-round-brackets.txt": joined(cells(), ", ").replace("\n", ")\n(").join("()").removesuffix("()"),
        },
    }


def good() -> dict[str, bytes]:
    """Return the files by rig and name."""
    plain = table()
    by_rig = {
        "by head": delimiters() | line_ends() | tops(),
        "by position": {"no-head.csv": joined(cells()), "no-head-tab.txt": joined(cells(), "\t")},
        "units from heads": {
            "units-row-only-there.csv": joined([HEADS, UNITS, *cells()]),
            "units-above.csv": f"# units: {', '.join(UNITS)}\n" + plain,
            "units-above-one-a-line.csv": "".join(f"{h}: {u}\n" for h, u in zip(HEADS, UNITS, strict=True)) + plain,
        },
        "in groups": {"same-heads-in-groups.csv": joined([GROUPS, GROUPED, *cells()])},
    } | clocks()
    files = {f"{rig}/{file}": text.encode() for rig, group in by_rig.items() for file, text in group.items()}
    files |= {f"{rig}/{file}": text.encode() for rig, group in forms().items() for file, text in group.items()}
    return files | {
        "by head/byte-order-mark.csv": b"\xef\xbb\xbf" + plain.encode(),
        "by head/utf-16.csv": plain.encode("utf-16"),
        "by head/utf-16-no-mark.csv": plain.encode("utf-16-le"),
        "by head/code-page-1252.csv": ("# 21 \xb0C, ruhig, B\xf6en\n" + plain).encode("cp1252"),
        "by head/utf-16-big-endian.csv": b"\xfe\xff" + plain.replace("\n", "\r\n").encode("utf-16-be"),
        "by head/gzip.csv.gz": gzip.compress(plain.encode(), mtime=0),
    }
