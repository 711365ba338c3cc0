"""What the name of a recording tells: run, kind, date, design, sample. Only what stands there; nothing is guessed."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import PurePosixPath
from typing import Final

from isothrust.book.names import bad_name
from isothrust.records.book import Kind

__all__ = [
    "FileRole",
    "NameParts",
    "clean_name",
    "free_name",
    "kind_in",
    "parts_of",
    "role_of",
    "run_name",
    "without_endings",
]

FileRole = str
"""'log', 'vibration' or 'sound'."""

_SOUND: Final = frozenset({".wav", ".flac"})
_INSIDE: Final = frozenset({".xlsx", ".xlsm", ".ods", ".parquet", ".pq", ".mat", ".h5", ".hdf5", ".hdf", ".zip"})
"""Files that may hold several recordings."""
_TABLE: Final = _INSIDE | {".csv", ".tsv", ".txt", ".dat", ".log", ".asc", ".json", ".jsonl", ".ndjson", ".gz", ""}
_VIBRATION_WORDS: Final = frozenset({"vib", "vibration", "acc", "accel", "acceleration"})
_SOUND_WORDS: Final = frozenset({"sound", "audio", "mic"})
_KIND_WORDS: Final[Mapping[str, Kind]] = {
    "ramp": "ramp",
    "ramps": "ramp",
    "hold": "holds",
    "holds": "holds",
    "step": "steps",
    "steps": "steps",
    "coast": "coast",
    "coasts": "coast",
    "coastdown": "coast",
    "zero": "zero",
    "tare": "zero",
}
_DATE: Final = re.compile(r"(?<!\d)(20\d\d)([-_.]?)([01]\d)\2([0-3]\d)(?!\d)")


@dataclass(frozen=True, slots=True)
class NameParts:
    """What a name tells; empty where it tells nothing."""

    kind: Kind | None
    date: str
    design: str
    sample: str


def role_of(path: str) -> FileRole | None:
    """Return which of a run's files this is, None where it is no recording by its ending.

    Examples
    --------
    >>> role_of("r01.csv"), role_of("r01_vib.csv"), role_of("r01.wav"), role_of("stand.jpg")
    ('log', 'vibration', 'sound', None)
    """
    suffix = PurePosixPath(path).suffix.lower()
    if suffix in _SOUND:
        return "sound"
    if suffix not in _TABLE:
        return None
    return "vibration" if set(_words(path)) & _VIBRATION_WORDS else "log"


def run_name(path: str) -> str:
    """Return the run's name: the path without ending and without the word that says which file of the run it is.

    Examples
    --------
    >>> run_name("day 1/r01_vib.csv"), run_name("r01.log.gz"), run_name("day 1.zip/r01.csv")
    ('day 1-r01', 'r01', 'day 1-r01')
    """
    stem = "-".join(without_endings(path).parts)
    words = "|".join(sorted(_VIBRATION_WORDS | _SOUND_WORDS, key=len, reverse=True))
    return re.sub(rf"[-_ .](?:{words})$", "", stem, flags=re.IGNORECASE).strip(" .")


def kind_in(path: str) -> Kind | None:
    """Return the kind of run that a name tells, None where it tells none or several.

    Examples
    --------
    >>> kind_in("auk A1 ramp2.csv"), kind_in("ramp and steps.csv")
    ('ramp', None)
    """
    found = {_KIND_WORDS[word] for word in (word.rstrip("0123456789") for word in _words(path)) if word in _KIND_WORDS}
    return found.pop() if len(found) == 1 else None


def clean_name(name: str) -> str:
    """Return a name that every system takes: signs that it cannot have became `-`.

    Examples
    --------
    >>> clean_name("day 1/r01"), clean_name(".")
    ('day 1-r01', 'run-')
    """
    plain = "".join("-" if bad_name(f"a{sign}a") else sign for sign in name).strip(" .-")
    return plain if plain and bad_name(plain) is None else f"run-{plain}"


def free_name(name: str, taken: Collection[str]) -> str:
    """Return the name, with a number behind it where it is taken; names taken are in small letters."""
    if name.casefold() not in taken:
        return name
    number = 2
    while f"{name}-{number}".casefold() in taken:
        number += 1
    return f"{name}-{number}"


def parts_of(path: str, designs: Collection[str], samples: Collection[tuple[str, str]]) -> NameParts:
    """Return what a recording's name tells, given the designs and samples that the book knows."""
    words = _words(path)
    design = _longest_named(words, designs)
    own = [sample for of_design, sample in samples if of_design == design]
    return NameParts(kind_in(path), _date_in(path), design, _longest_named(words, own) if design else "")


def _words(path: str) -> list[str]:
    return [word for word in re.split(r"[^0-9a-zA-Z.]+", str(without_endings(path)).casefold()) if word]


def without_endings(path: str) -> PurePosixPath:
    """Return a recording's path without the endings of tables and sounds, as many as it has; so of what it lies in."""
    plain = PurePosixPath(path)
    while plain.suffix and plain.suffix.lower() in _TABLE | _SOUND:
        plain = plain.with_suffix("")
    holders = [PurePosixPath(part) for part in plain.parts[:-1]]
    return PurePosixPath(*(part.stem if part.suffix.lower() in _INSIDE else part for part in holders), plain.name)


def _longest_named(words: Sequence[str], names: Collection[str]) -> str:
    """Return the name that consecutive words spell; the longest, and none where two are as long."""
    spelled = {
        "".join(words[start:end])
        for start in range(len(words))
        for end in range(start + 1, min(len(words), start + 6) + 1)
    }
    found = sorted(
        (name for name in names if _plain(name) in spelled), key=lambda name: len(_plain(name)), reverse=True
    )
    if not found or (len(found) > 1 and len(_plain(found[0])) == len(_plain(found[1]))):
        return ""
    return found[0]


def _plain(name: str) -> str:
    return re.sub(r"[^0-9a-zA-Z.]+", "", name.casefold())


def _date_in(path: str) -> str:
    found = {(match[1], match[3], match[4]) for match in _DATE.finditer(path)}
    if len(found) != 1:
        return ""
    year, month, day = (int(part) for part in found.pop())
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        return ""
