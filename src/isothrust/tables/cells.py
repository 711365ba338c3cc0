"""What a cell of a table may be: blank, a number in one of the usual ways of writing, a stamp of time, or words."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final

__all__ = [
    "BLANK_WORDS",
    "decimal_mark",
    "is_blank",
    "is_number",
    "is_open",
    "is_stamp",
    "parse_number",
    "split_row",
]

BLANK_WORDS: Final = frozenset({"", "nan", "na", "n/a", "null", "none", "nil", "-", "--", "---"})
"""Ways in which loggers and spreadsheets write that there is no value (in lower case)."""

_PLAIN = re.compile(r"[+-]?(?:\d+(?:\.\d*|,\d+)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?")
_GROUPED_POINT = re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d*)?")  # 1,234,567.8
_GROUPED_COMMA = re.compile(r"[+-]?\d{1,3}(?:\.\d{3})+(?:,\d*)?")  # 1.234.567,8
_GROUPED_BLANK = re.compile(r"[+-]?\d{1,3}(?: \d{3})+(?:[.,]\d*)?")  # 1 234 567,8
_STAMP = re.compile(r"(?:\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}[T ]?\s*)?\d{1,2}:\d{2}(?::\d{2}(?:[.,:]\d+)?)?.{0,8}")
_BASIC_STAMP = re.compile(r"\d{8}[Tt ]\d{6}(?:[.,]\d+)?(?:[Zz]|[+-]\d{2}:?\d{0,2})?")  # ISO 8601 without - and :
_QUOTED = r'"[^"]*+(?:""[^"]*+)*+"'
_OPENING = re.compile(r'(?:\A|[,;\t|])[ ]*(?=")')
_CLOSED = re.compile(_QUOTED)
_SIGNS = str.maketrans({"\u2212": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "'": " ", "\u2019": " "})


def is_blank(cell: str) -> bool:
    """Say whether a cell holds no value."""
    return cell.strip().lower() in BLANK_WORDS


def is_number(cell: str) -> bool:
    """Say whether a cell looks like a number, with a decimal point or a decimal comma."""
    return _PLAIN.fullmatch(cell.strip()) is not None


def is_stamp(cell: str) -> bool:
    """Say whether a cell looks like a time of day, with or without a date."""
    return (_STAMP.fullmatch(cell.strip()) or _BASIC_STAMP.fullmatch(cell.strip())) is not None


def parse_number(cell: str, *, decimal: str = ".", sure: bool = False) -> float:
    """Return the number that a cell holds.

    A typographic minus, hard blanks and groups of three digits are understood. A text such as `1,234` or `1.234` whose
    mark is not the table's own decimal mark could be a group or a fraction, and is refused; where other cells leave no
    doubt of the decimal mark (`sure`), it is a group.

    Raises ValueError, whose text says what is wrong and may be shown.

    Examples
    --------
    >>> parse_number("5,1", decimal=",")
    5.1
    >>> parse_number("1.234,5", decimal=",")
    1234.5
    """
    text = cell.translate(_SIGNS).strip()
    if _PLAIN.fullmatch(text):
        mark = "," if "," in text else "."
        own = _GROUPED_COMMA if decimal == "," else _GROUPED_POINT
        if mark != decimal and own.fullmatch(text) and sure:
            return float(text.replace(mark, ""))
        if mark != decimal and own.fullmatch(text):
            message = f'"{cell.strip()}" may mean {text} or {text.replace(mark, "")}: write it without groups of digits'
            raise ValueError(message)
        return float(text.replace(",", "."))
    grouped = _GROUPED_COMMA if decimal == "," else _GROUPED_POINT
    if grouped.fullmatch(text):
        return float(text.replace("." if decimal == "," else ",", "").replace(",", "."))
    if _GROUPED_BLANK.fullmatch(text):
        return float(text.replace(" ", "").replace(",", "."))
    message = f'"{cell.strip()}" is not a number'
    raise ValueError(message)


def decimal_mark(columns: Iterable[Sequence[str]]) -> tuple[str, bool]:
    """Return the decimal mark of a table's cells, and whether they leave no doubt of it.

    `1,234` may be a group of digits or a fraction; `0,234`, `1,23`, `1234,567` and `1.234,5` tell, and a column where
    hundreds stand without any mark: it has groups.

    Examples
    --------
    >>> decimal_mark([["0,5", "1,25"]]), decimal_mark([["999", "1,000", "1,001"]]), decimal_mark([["1.250"]])
    ((',', True), ('.', True), ('.', False))
    """
    told: Counter[str] = Counter()
    doubtful: Counter[str] = Counter()
    for column in columns:
        cells = [cell.translate(_SIGNS).strip() for cell in column]
        bare = any(cell.lstrip("+-").isdigit() for cell in cells)
        hundreds = any(len(cell.lstrip("+-")) == 3 and cell.lstrip("+-").isdigit() for cell in cells)
        for cell in cells:
            if "," not in cell and "." not in cell:
                continue
            if _PLAIN.fullmatch(cell) is None:
                told["."] += _GROUPED_POINT.fullmatch(cell) is not None
                told[","] += _GROUPED_COMMA.fullmatch(cell) is not None
                continue
            mark, other = (",", ".") if "," in cell else (".", ",")
            if cell.lstrip("+-")[0] == "0" or not (_GROUPED_POINT if mark == "," else _GROUPED_COMMA).fullmatch(cell):
                told[mark] += 1
            elif hundreds:
                told[other] += 1
            else:  # a logger's own mark is the point; a comma beside bare numbers may be either, and is not guessed
                doubtful["." if bare else mark] += 1
    found = told if told.total() else doubtful
    return ("," if found[","] > found["."] else "."), bool(told.total())


def split_row(line: str, delimiter: str) -> list[str]:
    """Split one line into cells; quotes are honoured; delimiter ' ' means runs of blanks, '' a single column.

    A quote counts as one only where a cell begins with it: 5" is five inches.

    Examples
    --------
    >>> split_row('a,"b,c",5" d', ",")
    ['a', 'b,c', '5" d']
    """
    if delimiter == " ":
        return line.split()
    if not delimiter:
        return [line.strip()]
    if '"' not in line:
        return [cell.strip() for cell in line.split(delimiter)]
    cells, start = [], 0
    for match in _cell_ends(delimiter).finditer(line):
        cells.append(_unquoted(line[start : match.start(1)]))
        start = match.end(1)
        if not match[1]:
            break
    return cells


def is_open(line: str) -> bool:
    """Say whether a quoted cell of this line is still open at its end, whatever the delimiter is.

    Examples
    --------
    >>> is_open('a,"two'), is_open('5" a,b')
    (True, False)
    """
    place = 0
    while (opening := _OPENING.search(line, place)) is not None:
        quoted = _CLOSED.match(line, opening.end())
        if quoted is None:
            return True
        place = quoted.end()
    return False


def _cell_ends(delimiter: str) -> re.Pattern[str]:
    """Return a pattern that matches one cell with the delimiter behind it (group 1, empty at the end of the line)."""
    mark = re.escape(delimiter)
    return re.compile(rf"(?:[ ]*{_QUOTED}[ ]*|[^{mark}]*)({mark}|\Z)")


def _unquoted(cell: str) -> str:
    text = cell.strip()
    if len(text) >= 2 and text[0] == text[-1] == '"':
        return text[1:-1].replace('""', '"')
    return text
