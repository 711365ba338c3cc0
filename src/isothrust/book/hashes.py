"""Hashes of raw recordings: written down when a file is first seen, so that a change of it cannot pass unseen.

`raw.sha256` has the form of the usual checksum tools: hash, two blanks, path under raw/. Run in raw/, they check it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from isothrust.book.campaigns import CAMPAIGNS
from isothrust.errors import BookError, Problem, Where, raise_problems
from isothrust.records.finding import Finding
from isothrust.tables.atomic import write_text

__all__ = ["HASHES", "RAW", "file_sha256", "raw_changed", "read_hashes", "record_hashes"]

RAW: Final = "raw"
HASHES: Final = "raw.sha256"


def file_sha256(path: str | Path) -> str:
    """Return a file's SHA-256 in small hexadecimal digits."""
    with Path(path).open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def read_hashes(root: str | Path, campaign: str) -> dict[str, str]:
    """Return what was written down for a campaign: path under raw/ -> hash.

    Raises BookError `bad-hash-line` with every line that cannot be read.
    """
    path = Path(root) / CAMPAIGNS / campaign / HASHES
    if not path.is_file():
        return {}
    hashes: dict[str, str] = {}
    problems: list[Problem] = []
    for number, line in enumerate(path.read_text(encoding="utf-8-sig").splitlines(), start=1):
        found, _, name = line.strip().partition(" ")
        name = name.lstrip(" *")
        if len(found) == 64 and name and set(found.lower()) <= set("0123456789abcdef"):
            hashes.setdefault(name, found.lower())
        elif line.strip():
            problems.append(
                Problem(
                    "bad-hash-line",
                    f'"{line.strip()[:40]}" is no hash with a file name',
                    Where(f"{CAMPAIGNS}/{campaign}/{HASHES}", number),
                    "64 hexadecimal digits, two blanks, the path under raw/",
                    "delete the line: the file's hash is then written down anew",
                )
            )
    raise_problems(problems, BookError)
    return hashes


def record_hashes(root: str | Path, campaign: str, hashes: Mapping[str, str]) -> tuple[str, ...]:
    """Write down the hashes of files that are seen for the first time; return which.

    What stands there already is kept, also where it differs.
    """
    known = read_hashes(root, campaign)
    fresh = sorted(name for name in hashes if name not in known)
    if fresh:
        path = Path(root) / CAMPAIGNS / campaign / HASHES
        before = path.read_text(encoding="utf-8-sig") if path.is_file() else ""
        joint = "" if not before or before.endswith("\n") else "\n"
        write_text(path, before + joint + "".join(f"{hashes[name]}  {name}\n" for name in fresh))
    return tuple(fresh)


def raw_changed(run: str, campaign: str, files: Mapping[str, str]) -> Finding:
    """Return the finding of a run whose recordings have changed; `files` maps each such path to its first hash."""
    names = ", ".join(f"{CAMPAIGNS}/{campaign}/{RAW}/{name}" for name in files)
    first = ", ".join(digest[:12] for digest in files.values())
    return Finding(
        "raw-changed",
        "fail",
        f"{names} is not the file that was first seen: its SHA-256 no longer begins with {first}.",
        run=run,
        count=len(files),
        effect="every figure of the run",
        done=f"run set aside; bring the first file back, or delete its line in {CAMPAIGNS}/{campaign}/{HASHES}",
    )
