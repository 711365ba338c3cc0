"""Tables in the middle of a long log, where opening it does not look: its odd rows give them away."""

from __future__ import annotations

from isothrust.errors import LogError, raise_problems
from isothrust.ingest.readers.asked import several_parts
from isothrust.ingest.reading import TableReading
from isothrust.tables.decoding import Decoded
from isothrust.tables.several import LOOKED_AT, tables_in

__all__ = ["refuse_hidden_tables"]


def refuse_hidden_tables(reading: TableReading) -> None:
    """Raise LogError several-tables where the rows left out or unread of a long log are heads of another table."""
    table, columns = reading.table, reading.columns
    if columns is None or len(table.data) <= 2 * LOOKED_AT or table.part is not None or table.tag is not None:
        return
    ragged = columns.regular is not None and columns.regular.ragged > 0
    if not ragged and not columns.unreadable:
        return
    found = tables_in(Decoded(table.data, table.dialect.encoding, cut=False), table.file, whole=True)
    if found:
        names = [f"table {number}" for number in range(1, len(found) + 1)]
        raise_problems([several_parts(names, table.file, "stand one below the other")], LogError)
