"""A zip archive: the one recording in it, or the one that is named behind the archive's own name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Final

from isothrust.errors import LogError, Where, raise_problems
from isothrust.ingest.readers.asked import no_such_part, several_parts
from isothrust.ingest.readers.contract import Claim, Contents, Reader, Specimen
from isothrust.ingest.readers.zipped import MAGIC, check_archive, listed, unpack

__all__ = ["SNIFFED", "Archive"]

SNIFFED: Final = 4096
"""Bytes that are looked at to tell a format."""
_WORKBOOKS: Final = frozenset({"[Content_Types].xml", "mimetype"})
_LITTER: Final = ("__MACOSX/", ".")


@dataclass(frozen=True, slots=True)
class Archive:
    """The reader of zip archives."""

    choose: Callable[[Specimen], Reader]
    """Finds the reader of what is inside."""
    name: str = "zip"

    def claim(self, specimen: Specimen) -> Claim:
        """Return CONTENT for an archive that is no workbook."""
        if specimen.members and not _WORKBOOKS & set(specimen.members):
            return Claim.CONTENT
        return Claim.NAME if specimen.name.endswith(".zip") else Claim.NONE

    def contents(self, specimen: Specimen, wanted: str) -> Contents:
        """Return the tables of the one file inside that is meant."""
        inner, rest = self.inside(specimen, wanted)
        reader = self.choose(inner)
        if isinstance(reader, Archive):
            raise LogError(
                f'"{inner.path.removeprefix(specimen.path)[1:]}" is an archive in an archive',
                code="nested-archive",
                where=Where(specimen.path),
                expected="recordings, one level deep",
                fix="unpack the outer archive, and name the one that is in it",
            )
        return reader.contents(inner, rest)

    def inside(self, specimen: Specimen, wanted: str) -> tuple[Specimen, str]:
        """Return the one file inside that is meant, and what is named in it in turn."""
        member, rest = self._member(specimen, wanted)
        with specimen.open() as stream:
            check_archive(stream, specimen.size, specimen.path, only=[member])
            data = unpack(stream, member, specimen.path)
        inner = Specimen(f"{specimen.path}/{member}", data[:SNIFFED], len(data), data=data)
        if data.startswith(MAGIC):
            inner = Specimen(inner.path, inner.beginning, inner.size, listed(inner.open()), data)
        return inner, rest

    def recordings(self, specimen: Specimen) -> list[str]:
        """Return the names of what is in an archive, left out what systems put there for themselves."""
        return [name for name in specimen.members if not _is_litter(name)]

    def _member(self, specimen: Specimen, wanted: str) -> tuple[str, str]:
        """Return which file is meant, and what may be named in it in turn."""
        names = self.recordings(specimen)
        if wanted:
            found = [name for name in names if wanted == name or wanted.startswith(f"{name}/")]
            if not found:
                raise no_such_part(wanted, names, specimen.path)
            return found[0], wanted[len(found[0]) + 1 :]
        if not names:
            raise LogError(
                "the archive holds no file that can be read",
                code="damaged-file",
                where=Where(specimen.path),
                expected="an archive with one recording in it",
                fix="pack the recording anew, or name it unpacked",
            )
        if len(names) > 1:
            raise_problems([several_parts(names, specimen.path, "may be the recording")], LogError)
        return names[0], ""


def _is_litter(name: str) -> bool:
    return name.startswith(_LITTER) or PurePosixPath(name).name.startswith(_LITTER)
