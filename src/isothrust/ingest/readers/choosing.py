"""Which reader a file is for: what its content says comes first, its name second, and two that both claim it none."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from isothrust.errors import LogError, Where, raise_problems
from isothrust.ingest.readers.archive import SNIFFED, Archive
from isothrust.ingest.readers.asked import no_such_part, several_parts
from isothrust.ingest.readers.contract import Claim, Contents, NamedTable, Reader, Specimen
from isothrust.ingest.readers.delimited import Delimited, decoded_text
from isothrust.ingest.readers.hdf5 import HDF5
from isothrust.ingest.readers.matlab import Matlab
from isothrust.ingest.readers.parquet import Parquet
from isothrust.ingest.readers.unknown import refuse_unknown
from isothrust.ingest.readers.waveform import Waveform
from isothrust.ingest.readers.workbook import ODS, XLSX
from isothrust.ingest.readers.zipped import MAGIC, listed
from isothrust.tables.decoding import Decoded, read_file
from isothrust.tables.inside import split_inside

__all__ = ["READERS", "choose_reader", "contents_of", "specimen_of", "text_of"]


_BLOCK: Final = re.compile(r"(?:(.+)/)?block (\d+)")
"""What names one of the blocks side by side, perhaps behind what names their sheet."""


def choose_reader(specimen: Specimen, readers: Sequence[Reader] = ()) -> Reader:
    """Return the reader of a file; their order means nothing.

    Raises LogError `reader-tie` where two are equally sure, `binary-log` where none is and the file is no text.
    """
    claims = [(reader.claim(specimen), reader) for reader in readers or READERS]
    best = max(claim for claim, _ in claims)
    chosen = [reader for claim, reader in claims if claim == best]
    if best <= Claim.NAME:
        unknown = refuse_unknown(specimen, named=best == Claim.NAME)
        if unknown is not None:
            raise unknown
    if best == Claim.NONE:
        return Delimited()
    if len(chosen) > 1:
        names = " and ".join(sorted(reader.name for reader in chosen))
        raise LogError(
            f"{Path(specimen.path).name} reads as {names} alike",
            code="reader-tie",
            where=Where(specimen.path),
            expected="a file that is of one format",
            fix="convert the recording to CSV, and name that file",
        )
    return chosen[0]


def specimen_of(path: str | os.PathLike[str]) -> Specimen:
    """Return a file as readers look at it; raises LogError `missing-file` or `unreadable-file`."""
    file = Path(path)
    try:
        with file.open("rb") as stream:
            specimen = Specimen(os.fspath(path), stream.read(SNIFFED), os.fstat(stream.fileno()).st_size)
            if specimen.beginning.startswith(MAGIC):
                specimen = replace(specimen, members=listed(stream))
            return specimen
    except OSError:
        read_file(path, kind=LogError)  # tells in words what is wrong
        raise


def contents_of(path: str | os.PathLike[str], table: str | None = None) -> Contents:
    """Return the tables of a file that a path names, perhaps with what is meant in it behind the file's name.

    `table` is what the rig calls it, for files whose path names nothing in them.

    Raises LogError: missing-file, unreadable-file, empty-log, binary-log, damaged-gzip, damaged-file, not-a-table,
    ragged-log, reader-tie, no-such-part, several-tables, nested-archive, encrypted-archive, expands-too-far,
    line-too-long, too-many-columns.
    """
    file, inner = split_inside(path)
    block = _BLOCK.fullmatch(inner)
    if block is not None:
        return _block_of(contents_of(f"{file}/{block[1]}" if block[1] else file, table), int(block[2]), file)
    specimen = specimen_of(file)
    reader = choose_reader(specimen)
    wanted = inner or (table or "")
    contents = reader.contents(specimen, wanted)
    if not wanted or isinstance(reader, Archive):
        return contents
    named = tuple(each for each in contents.tables if each.name == wanted)
    if not named and (inner or len(contents.tables) > 1):
        raise no_such_part(wanted, [each.name for each in contents.tables if each.name], file, contents.skipped)
    return replace(contents, tables=named or contents.tables)


def _block_of(contents: Contents, number: int, file: str) -> Contents:
    """Return one of the blocks that stand side by side in the only table."""
    if len(contents.tables) > 1:
        named = [f"{each.name}/block {number}" for each in contents.tables]
        raise_problems([several_parts(named, file, "may hold the block")], LogError)
    blocks = contents.tables[0].blocks
    if not 1 <= number <= len(blocks):
        names = [f"block {each}" for each in range(1, len(blocks) + 1)]
        raise no_such_part(f"block {number}", names, file)
    return replace(contents, tables=(NamedTable(f"block {number}", blocks[number - 1]),))


def text_of(path: str | os.PathLike[str]) -> Decoded:
    """Return the text of a file that a path names, in an archive or not; raises LogError as `contents_of` does."""
    file, inner = split_inside(path)
    specimen = specimen_of(file)
    reader = choose_reader(specimen)
    if isinstance(reader, Archive):
        specimen, _ = reader.inside(specimen, inner)
    return decoded_text(specimen)


READERS: Final[tuple[Reader, ...]] = (
    Delimited(),
    XLSX,
    ODS,
    Parquet(),
    Matlab(),
    HDF5(),
    Waveform(),
    Archive(choose_reader),
)
