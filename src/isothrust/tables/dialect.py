"""How a table of text is written: encoding, delimiter, decimal mark, and where heads and rows stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

__all__ = ["COMMENT_MARKS", "DELIMITERS", "Dialect", "is_comment"]

DELIMITERS: Final[Mapping[str, str]] = {
    ",": "comma",
    ";": "semicolon",
    "\t": "tab",
    "|": "bar",
    " ": "runs of blanks",
    "": "one column",
}
"""Delimiter -> its name; ' ' stands for any run of blanks, '' for a table of a single column."""

COMMENT_MARKS: Final = ("#", "%", "//")


@dataclass(frozen=True, slots=True)
class Dialect:
    """How a file was read. Lines count from 1, as an editor counts them."""

    encoding: str
    delimiter: str
    decimal: str
    head_line: int | None
    """None where the columns have no names."""
    units_line: int | None
    first_line: int
    """Line of the first row of values (the line after the head where there is none)."""
    width: int
    """Columns in a row."""
    form: str = ""
    """What the log was before it was written anew as a plain table; empty where it was one."""

    def __str__(self) -> str:
        """Say it in words: 'comma, decimal point, utf-8, head in line 1'."""
        parted = self.form or DELIMITERS[self.delimiter]
        words = [parted, "decimal comma" if self.decimal == "," else "decimal point", self.encoding]
        words.append("no head" if self.head_line is None else f"head in line {self.head_line}")
        if self.units_line is not None:
            words.append(f"units in line {self.units_line}")
        return ", ".join(words)


def is_comment(line: str) -> bool:
    """Say whether a line is a comment: its first mark, perhaps after a blank or a quote, is `#`, `%` or `//`."""
    return line.lstrip(' \t"').startswith(COMMENT_MARKS)
