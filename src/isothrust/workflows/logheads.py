"""What the lines above a log's rows, and its first stamp, tell of a run: its date, the air; no more."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import datetime
from types import MappingProxyType
from typing import Final

from isothrust.book.dates import AmbiguousDateError, iso_date
from isothrust.errors import UnitError
from isothrust.ingest.mapping.words import words_of
from isothrust.quantities import QUANTITIES, parse_unit, parse_value

__all__ = ["air_in", "date_in_lines", "date_in_name"]

_YEAR_FIRST: Final = re.compile(r"(?<!\d)(\d{4}[-/.]\d{1,2}[-/.]\d{1,2})(?:[T _]+(\d{1,2}:\d{2}))?")
_YEAR_LAST: Final = re.compile(r"(?<!\d)(\d{1,2}[-_/.]\d{1,2}[-_/.]\d{4})(?!\d)")
_SPOKEN: Final = re.compile(
    r"\b(Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)[a-z]* +(\d{1,2}),? +"
    r"(?:(\d{1,2}:\d{2})(?::\d{2})? +)?(\d{4})\b"
)
_AIR: Final = re.compile(
    r"(?P<before>[^,;|:=\t#%/]*)\b(?P<name>temperature|temp|pressure|baro|humidity)\s*(?:[:=]|\bis\b|\bwas\b|\bof\b)?\s*"
    r"(?P<value>[+-]?\d+(?:[.,]\d+)?)\s*(?P<unit>[°%A-Za-z]+)",
    re.IGNORECASE,
)
_OF_THE_AIR: Final = frozenset(
    ("air", "ambient", "room", "hall", "lab", "outside", "relative", "barometric", "atmospheric", "static", "the", "of")
)
"""Words before a reading that leave it one of the air; `motor temp` and `max temp` are none."""
_AIR_NAMES: Final[Mapping[str, str]] = MappingProxyType(
    {"temp": "temperature", "baro": "pressure"} | {name: name for name in ("temperature", "pressure", "humidity")}
)
_CELL_UNITS: Final[Mapping[str, str]] = MappingProxyType({"temperature": "degC", "pressure": "hPa", "humidity": "%"})


def date_in_lines(lines: Iterable[str]) -> str:
    """Return the one date that lines tell, in ISO 8601, with the time of day where it stands there; else nothing.

    Examples
    --------
    >>> date_in_lines(["# Test started at Sat Feb 13 13:47:17 2021"]), date_in_lines(["2019-11-05 17:14:08:947"])
    ('2021-02-13T13:47', '2019-11-05T17:14')
    """
    found = {date for line in lines for date in _dates(line)}
    return found.pop() if len(found) == 1 else ""


def date_in_name(name: str) -> str:
    """Return the one date that a file's name tells with its year last, where it can mean one day only.

    Examples
    --------
    >>> date_in_name("thrust 27_02_2020 a.csv"), date_in_name("thrust 03_02_2020.csv")
    ('2020-02-27', '')
    """
    found = {_iso(match[1].replace("_", "-")) for match in _YEAR_LAST.finditer(name)}
    return found.pop() if len(found) == 1 else ""


def air_in(lines: Iterable[str]) -> dict[str, str]:
    """Return what lines tell of the air, as cells of runs.csv; a number without its unit is passed over.

    Examples
    --------
    >>> air_in(["# temperature: 21.5 degC, pressure = 100.9 kPa"])
    {'temperature': '21.5', 'pressure': '1009'}
    >>> air_in(["# motor temp 45 degC, max temperature: 40 degC, temperature limit 50 degC"])
    {}
    """
    cells: dict[str, str] = {}
    for match in (match for line in lines for match in _AIR.finditer(line)):
        if not set(words_of(match["before"])) <= _OF_THE_AIR:
            continue
        name = _AIR_NAMES[match["name"].lower()]
        try:
            value = parse_value(f"{match['value'].replace(',', '.')} {match['unit']}", quantity=name)
        except UnitError:  # Some other temperature, or no unit: nothing is guessed.
            continue
        low, high = {"temperature": (230.0, 330.0), "pressure": (3e4, 1.1e5), "humidity": (0.0, 1.0)}[name]
        if low <= value <= high:
            cells.setdefault(name, f"{parse_unit(_CELL_UNITS[name]).from_si(value):.6g}")
    return {name: cells[name] for name in QUANTITIES if name in cells}


def _dates(line: str) -> list[str]:
    found = [_iso(f"{match[1]} {match[2]}" if match[2] else match[1]) for match in _YEAR_FIRST.finditer(line)]
    for match in _SPOKEN.finditer(line):
        month, day, clock, year = match.groups()
        try:
            found.append(_spoken(f"{year} {month} {day} {clock or ''}".strip(), clocked=clock is not None))
        except ValueError:  # No such day.
            continue
    return [date for date in found if date]


def _spoken(text: str, *, clocked: bool) -> str:
    moment = datetime.strptime(text, "%Y %b %d %H:%M" if clocked else "%Y %b %d")
    return moment.isoformat(timespec="minutes") if clocked else moment.date().isoformat()


def _iso(text: str) -> str:
    try:
        return iso_date(text)
    except (AmbiguousDateError, ValueError):  # What could be two days, or none, is left empty.
        return ""
