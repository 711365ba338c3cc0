"""Pages that show commands with what they print, and files as they should then be."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

FENCE = re.compile(r"^```(\w+)(?: (\S+))?\n(.*?)^```$", re.DOTALL | re.MULTILINE)
LEFT_OUT = "…"


@dataclass(frozen=True)
class Typed:
    """A command and the lines that it is shown to print."""

    command: str
    shown: tuple[str, ...]


@dataclass(frozen=True)
class Written:
    """A file that the reader is told to write."""

    name: str
    text: str


def steps_of(page: str) -> list[Typed | Written]:
    """Return what a reader does, in order: `console` blocks, and blocks that name a file behind their language."""
    steps: list[Typed | Written] = []
    for language, name, body in FENCE.findall(page):
        if name:
            steps.append(Written(name, body))
        elif language == "console":
            steps += commands_of(body)
    return steps


def commands_of(block: str) -> list[Typed]:
    lines = block.splitlines()
    starts = [number for number, line in enumerate(lines) if line.startswith("$ ")]
    assert starts[:1] == [0], "a console block begins with a command"
    return [Typed(lines[a][2:], tuple(lines[a + 1 : b])) for a, b in pairwise([*starts, len(lines)])]


def missing_lines(shown: tuple[str, ...], printed: str) -> list[str]:
    """Return shown lines that were not printed, or not in this order; `…` stands for anything left out.

    Without a line `…` between them, lines follow one another as they do in what was printed.
    """
    real = [line.rstrip() for line in printed.splitlines()]
    at, free = 0, False
    missing = []
    for line in shown:
        if line.strip() == LEFT_OUT:
            free = True
            continue
        reach = range(at, len(real)) if free else range(at, min(at + 1, len(real)))
        place = next((number for number in reach if pattern(line).fullmatch(real[number])), None)
        if place is None:
            missing.append(line)
        else:
            at, free = place + 1, False
    return missing


def pattern(line: str) -> re.Pattern[str]:
    return re.compile(".*".join(map(re.escape, line.rstrip().split(LEFT_OUT))))
