"""Logs that can be read, each with one defect, and the findings that tell of it."""

from __future__ import annotations

import gzip
from collections.abc import Sequence

from logs.made_good import objects, single
from logs.made_text import Cells, cells, edited, finding, joined, table, with_time
from logs.truth import HEADS, ROWS

WEIGHTS = "mass,counts\n0,12\n100,219\n200,425\n300,632\n"


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


def counter(start: int, step: int, size: int) -> str:
    """Return the plain table with the clock of a counter that runs over."""
    return with_time(lambda k: str((start + step * k) % size))


def false_start(rows: int, *, head: bool, top: str = "") -> str:
    """Return a log that began, broke off, and began anew from zero."""
    again = [HEADS, *cells()] if head else cells()
    return joined([HEADS, *cells(range(rows))]) + top + joined(again)


def restarted(left_out: int, lines: Sequence[int], *heads: int) -> str:
    again = finding("repeated-head", len(heads), heads) if heads else ""
    return again + finding("logger-restarted", left_out, lines, "time")


def clocks() -> dict[str, tuple[bytes, str]]:
    """Return the files whose clock ran over or began anew."""
    us = 'rig = "microseconds"\n'
    early = [[f"{400.0 - 10.0 * (20 - k):.3f}", *row[1:]] for k, row in enumerate(cells(range(20)))]
    undated = joined([row[1:] for row in [HEADS, *cells(range(12)), HEADS, *cells()]])
    return {
        "counter-of-16-bits.csv": (counter(65_000, 10, 1 << 16).encode(), finding("clock-wrapped", 1, [], "time")),
        "counter-of-32-bits.csv": (
            counter((1 << 32) - 200_000, 10_000, 1 << 32).encode(),
            us + finding("clock-wrapped", 1, [], "time"),
        ),
        "counter-of-16-bits-often.csv": (
            counter(65_000, 10_000, 1 << 16).encode(),
            us + finding("clock-wrapped", 13, [], "time"),
        ),
        "restarted-with-head.csv": (false_start(12, head=True).encode(), restarted(12, [2, 13, 15, 94], 14)),
        "restarted-with-preamble.csv": (
            false_start(12, head=True, top="Bench recorder\nready\n").encode(),
            restarted(12, [2, 13, 17, 96], 16),
        ),
        "restarted-without-head.csv": (false_start(12, head=False).encode(), restarted(12, [2, 13, 14, 93])),
        "restarted-at-the-end.csv": (
            joined([HEADS, *cells(), HEADS, *cells(range(9))]).encode(),
            restarted(9, [2, 81, 83, 91], 82),
        ),
        "restarted-after-a-rest.csv": (joined([HEADS, *early, *cells()]).encode(), restarted(20, [2, 21, 22, 101])),
        "restarted-without-clock.csv": (undated.encode(), 'rig = "rate"\n' + restarted(12, [2, 13, 15, 94], 14)),
    }


def words(rows: Cells) -> None:
    for place, word in enumerate(("ovf", "ERR", "OL", "#DIV/0!", "1.#INF", "overload")):
        rows[10 + place][3] = word


def blanks(rows: Cells) -> None:
    for place, word in enumerate(("nan", "NaN", "--", "-", "N/A", "null", "")):
        rows[10 + place][3] = word


def unclocked(rows: Cells) -> None:
    for place, word in enumerate(("", "--", "nan")):
        rows[20 + place][0] = word


def summaries() -> dict[str, tuple[bytes, str]]:
    """Return the files with a summary below their rows."""
    plain, undated = table(), joined([row[1:] for row in [HEADS, *cells()]])
    mean = ["Mean", *(f"{sum(float(row[k]) for row in cells()) / len(cells()):.3f}" for k in range(1, len(HEADS)))]
    texts = {
        "summary-rows.csv": (plain + joined([mean, ["Max", *cells()[-1][1:]]]), 2, 82),
        "summary-of-words.csv": (plain + "\n--- results ---\npeak thrust: 780.1 gf\nruntime: 0.8 s\n", 3, 83),
        "summary-table.csv": (plain + "\nSummary\nchannel,min,max\nrpm,0,11850\naxial,-780.125,0\n", 4, 83),
        "summary-of-numbers.csv": (plain + "Averages:\n" + joined([["395.000", *mean[1:]]]), 2, 82),
    }
    found = {name: (text.encode(), finding("summary-left-out", n, [line])) for name, (text, n, line) in texts.items()}
    text = undated + joined([mean[1:]]).replace(mean[1], f"mean {mean[1]}", 1)
    return found | {
        "summary-without-clock.csv": (text.encode(), 'rig = "rate"\n' + finding("summary-left-out", 1, [82]))
    }


def forms() -> dict[str, tuple[bytes, str]]:
    """Return logs that are no plain tables, each with one defect."""
    rows = [objects(k) for k in range(ROWS)]
    frames = "".join("[" + "|".join(row) + "]" for row in cells())
    lost = frames.replace("]", "", 1).replace("[300.000|1300.000|", "[300.000|", 1)
    wrapped = "".join(lost[at : at + 80] + "\n" for at in range(0, len(lost), 80))
    return {
        "objects-cut.jsonl": ("\n".join(rows)[:-30].encode(), finding("truncated-last-line", 1, [80])),
        "objects-broken.jsonl": (
            "\n".join([*rows[:20], rows[20][:40], *rows[21:]]).encode() + b"\n",
            finding("ragged-rows", 1, [21]),
        ),
        "long-form-cut.csv": (
            ("t,channel,value\n" + "".join(map(single, range(ROWS))))[:-9].encode(),
            finding("truncated-last-line", 1, [561]),
        ),
        "frames-lost.txt": (
            wrapped.encode(),
            'rig = "by position"\n' + finding("ragged-rows", 1, []) + finding("unreadable-cells", 1, [1], "current"),
        ),
    }


def chosen(line: int) -> str:
    return finding("table-chosen", None, [line])


def odd() -> dict[str, tuple[bytes, str]]:
    """Return the files that can be read, each with one defect."""
    plain, packed, headless = table(), gzip.compress(table().encode(), mtime=0), joined(cells(), "\t")
    return (
        clocks()
        | summaries()
        | forms()
        | {
            "truncated-last-line.csv": (plain[:-20].encode(), finding("truncated-last-line", 1, [81])),
            "truncated-last-digits.csv": (plain[:-3].encode(), finding("truncated-last-line", 1, [81])),
            "truncated-first-line.txt": (
                headless[8:].encode(),
                'rig = "by position"\n' + finding("truncated-first-line", 1, [1]),
            ),
            "ragged-rows.csv": (edited(split).encode(), finding("ragged-rows", 2, [12, 22])),
            "glued-numbers.csv": (edited(glue).encode(), finding("ragged-rows", 1, [42])),
            "unreadable-cells.csv": (
                edited(spoil).encode(),
                finding("unreadable-cells", 2, [7, 33], "speed") + finding("unreadable-cells", 1, [32], "thrust"),
            ),
            "infinite.csv": (edited(overflow).encode(), finding("unreadable-cells", 1, [10], "current")),
            "repeated-head.csv": (edited(restart).encode(), finding("repeated-head", 1, [42])),
            "dead-sensor.csv": (
                edited(unplug).encode(),
                finding("unreadable-cells", 80, [2, 3], "voltage") + finding("channel-missing", None, [], "voltage"),
            ),
            "column-gone.csv": (renamed(("amp", "I_bus")), finding("channel-missing", None, [], "current")),
            "nul-tail.csv": (plain[:-30].encode() + bytes(512), finding("truncated-last-line", 1, [81])),
            "cut-gzip.csv.gz": (packed[:-40], finding("truncated-last-line", 1, [])),
            "unit-unknown.csv": (renamed(("volt", "volt [ticks]")), finding("head-unit-differs", None, [], "voltage")),
            "table-of-weights-above.csv": (f"the weights\n{WEIGHTS}\nthe run\n{plain}".encode(), chosen(10)),
            "table-of-weights-below.csv": (f"{plain}\n{WEIGHTS}".encode(), chosen(2)),
            "overload-words.csv": (edited(words).encode(), finding("unreadable-cells", 6, [11, 15], "thrust")),
            "blank-words.csv": (edited(blanks).encode(), "findings = []\n"),
            "blank-stamps.csv": (edited(unclocked).encode(), finding("rows-without-time", 3, [21, 22, 23], "time")),
        }
    )
