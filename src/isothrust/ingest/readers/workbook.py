"""Workbooks: the sheets of XLSX and .ods files. Who knows the rig decides which of them is read."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from isothrust.errors import LogError, Where
from isothrust.ingest.readers.asked import no_such_part
from isothrust.ingest.readers.contract import Claim, Contents, NamedTable, Specimen
from isothrust.ingest.readers.late import late
from isothrust.ingest.readers.sheettext import blocks_of, sheet_table
from isothrust.ingest.readers.zipped import check_archive
from isothrust.tables.limits import MOST_COLUMNS, too_many_columns

__all__ = ["ODS", "XLSX", "Workbook"]


@dataclass(frozen=True, slots=True)
class Workbook:
    """The reader of one kind of workbook."""

    name: str
    suffixes: tuple[str, ...]
    member: str
    """A file that every archive of this kind has."""
    beginning: bytes
    """What the archive's first file says, if it is of this kind; empty where that tells nothing."""

    def claim(self, specimen: Specimen) -> Claim:
        """Return CONTENT where the archive lists what a workbook of this kind must have."""
        if self.member in specimen.members and (not self.beginning or self.beginning in specimen.beginning):
            return Claim.CONTENT
        return Claim.NAME if specimen.name.endswith(self.suffixes) else Claim.NONE

    def contents(self, specimen: Specimen, wanted: str) -> Contents:
        """Return the sheets that hold rows of numbers; the others are skipped with the reason."""
        with specimen.open() as stream:
            check_archive(stream, specimen.size, specimen.path)
        library = late("python_calamine")
        try:
            with library.load_workbook(specimen.path if specimen.data is None else specimen.open()) as book:
                if wanted and wanted not in book.sheet_names:
                    raise no_such_part(wanted, book.sheet_names, specimen.path)
                sheets = {name: book.get_sheet_by_name(name) for name in book.sheet_names if wanted in {"", name}}
                rows = {name: sheet.to_python(skip_empty_area=False) for name, sheet in sheets.items()}
        except (library.CalamineError, library.PasswordError, library.XmlError, library.ZipError, OSError) as failure:
            raise LogError(
                f"the workbook cannot be read: {failure}",
                code="damaged-file",
                where=Where(specimen.path),
                expected="a whole workbook without a password",
                fix="open it in a spreadsheet program, save it anew, and name that file",
            ) from None
        tables, skipped = [], {}
        for name, cells in rows.items():
            words, file = f'{self.name}, sheet "{name}"', f'{specimen.path}, sheet "{name}"'
            try:
                if cells and len(cells[0]) > MOST_COLUMNS:
                    raise too_many_columns(len(cells[0]), file)
                tables.append(NamedTable(name, sheet_table(cells, file, words), blocks_of(cells, file, words)))
            except LogError as error:
                skipped[name] = error.problems[0].what
        if not tables and not wanted:
            raise _no_sheet(specimen, skipped)
        return Contents(tuple(tables), skipped)


def _no_sheet(specimen: Specimen, skipped: dict[str, str]) -> LogError:
    reasons = "; ".join(f"{name}: {why}" for name, why in list(skipped.items())[:3])
    return LogError(
        f"no sheet of {Path(specimen.path).name} holds a table of numbers" + (f" ({reasons})" if reasons else ""),
        code="not-a-table",
        where=Where(specimen.path),
        expected="a sheet with a row of heads and rows of numbers below it",
        fix="name the workbook or the CSV file that holds the recording",
    )


XLSX: Final = Workbook("XLSX", (".xlsx", ".xlsm"), "xl/workbook.xml", b"")
ODS: Final = Workbook("OpenDocument", (".ods",), "content.xml", b"opendocument.spreadsheet")
