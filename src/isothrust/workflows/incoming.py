"""The recordings of a folder on their way into a campaign: which they are, and whether each has a place there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from isothrust.book.campaigns import CAMPAIGNS
from isothrust.book.hashes import RAW, file_sha256, read_hashes
from isothrust.errors import BookError, Problem, UsageError, Where, raise_problems
from isothrust.records.finding import Finding
from isothrust.workflows.filenames import role_of
from isothrust.workflows.telling import Progress

__all__ = ["Incoming", "incoming_recordings", "recordings_in"]


_SHOWN = 4
"""Names told in a finding before the rest is counted."""


@dataclass(frozen=True, slots=True)
class Incoming:
    """One recording on its way in."""

    source: Path
    name: str
    """Path under raw/."""
    role: str
    sha256: str
    already_there: bool


def incoming_recordings(
    book: Path, folder: Path, campaign: str, tell: Progress
) -> tuple[list[Incoming], tuple[Finding, ...]]:
    """Return the recordings of a folder; raise, naming all, where one would take another's place.

    `tell` is called as they are looked at.
    """
    names = recordings_in(folder)
    known = read_hashes(book, campaign)
    incoming: list[Incoming] = []
    foreign: list[str] = []
    known_already: list[str] = []
    problems: list[Problem] = []
    for count, name in enumerate(names, start=1):
        tell(count, len(names), f"looking at {name}")
        role = role_of(name)
        if role is None:
            foreign.append(name)
            continue
        digest = file_sha256(folder / name)
        target = book / CAMPAIGNS / campaign / RAW / name
        first = known.get(name) or (file_sha256(target) if target.is_file() else digest)
        if first != digest:
            problems.append(_taken(campaign, name))
        elif target.is_file():
            known_already.append(name)
        incoming.append(Incoming(folder / name, name, role, digest, target.is_file()))
    raise_problems(problems, BookError)
    if not incoming:
        raise UsageError(
            f"{folder} holds no recording",
            code="no-recordings",
            where=Where(str(folder)),
            expected="files ending in csv, tsv, txt, dat, log (also gz), xlsx, ods, parquet, mat, h5, zip, wav or flac",
            fix="name the folder that the bench wrote to",
        )
    return incoming, tuple(_findings(foreign, known_already))


def _findings(foreign: list[str], known_already: list[str]) -> Iterator[Finding]:
    if foreign:
        message = f"{_listed(foreign)}: no recording by the name's ending."
        yield Finding("not-a-recording", "note", message, count=len(foreign), done="left where it is")
    if known_already:
        message = f"{_listed(known_already)}: in the campaign already, byte for byte."
        yield Finding("already-there", "note", message, count=len(known_already), done="not copied again")


def _listed(names: list[str]) -> str:
    return ", ".join(names[:_SHOWN]) + (f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else "")


def recordings_in(folder: Path) -> list[str]:
    """Return the paths of all files under a folder, hidden ones left out, sorted; raises UsageError `no-folder`."""
    if not folder.is_dir():
        raise UsageError(
            f"{folder} is no folder",
            code="no-folder",
            where=Where(str(folder)),
            expected="the folder with the recordings",
            fix="mend the name",
        )
    paths = (path.relative_to(folder) for path in folder.rglob("*") if path.is_file())
    return sorted(path.as_posix() for path in paths if not any(part.startswith(".") for part in path.parts))


def _taken(campaign: str, name: str) -> Problem:
    return Problem(
        "name-taken",
        f"{name} is in the campaign already, with another content",
        Where(f"{CAMPAIGNS}/{campaign}/{RAW}/{name}"),
        "recordings are never overwritten",
        "rename the new file, or add it to another campaign",
    )
