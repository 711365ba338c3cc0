"""The other process of a rehearsal: `python -m isothrust.ingest.readers.rehearsed READER FILE SIZE [-]`."""

from __future__ import annotations

import pickle
import sys
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final

from isothrust.errors import LogError
from isothrust.ingest.readers.contract import Contents, Specimen
from isothrust.ingest.readers.hdf5 import HDF5
from isothrust.ingest.readers.late import late
from isothrust.ingest.readers.matlab import Matlab
from isothrust.ingest.readers.numeric import NumericTable
from isothrust.ingest.readers.rehearsal import MEMORY_FACTOR, MEMORY_FREE, REFUSED

if sys.platform != "win32":
    import resource

__all__ = ["main"]

_READERS: Final[Mapping[str, tuple[type[Matlab] | type[HDF5], str]]] = MappingProxyType(
    {"matlab": (Matlab, "scipy.io"), "hdf5": (HDF5, "h5py")}
)
"""Reader -> its class, and the library that is loaded before the memory is limited."""
_SNIFFED: Final = 4096
_OWN_SIZE: Final = Path("/proc/self/statm")
_PAGE: Final = 4096


def main(words: list[str]) -> int:
    """Read every column of a file and drop it; return the exit status."""
    make, library = _READERS[words[0]]
    path, size = Path(words[1]), int(words[2])
    data = sys.stdin.buffer.read() if words[3:] == ["-"] else None
    late(library)
    _limit(MEMORY_FREE + MEMORY_FACTOR * size)
    try:
        _read_all(make().read(Specimen(str(path), _beginning(path, data), size, data=data)))
    except LogError as error:
        sys.stdout.buffer.write(pickle.dumps(error))
        return REFUSED
    return 0


def _beginning(path: Path, data: bytes | None) -> bytes:
    if data is not None:
        return data[:_SNIFFED]
    with path.open("rb") as stream:
        return stream.read(_SNIFFED)


def _read_all(contents: Contents) -> None:
    for named in contents.tables:
        table = named.table
        assert isinstance(table, NumericTable)
        assert table.cells is not None
        for column, stamps in enumerate(table.layout.stamps):
            (table.cells.texts if stamps else table.cells.numbers)(column)


def _limit(more: int) -> None:
    """Let the process take so many bytes beyond what it has; where the system tells no size, patience must do."""
    if sys.platform != "win32" and _OWN_SIZE.exists():
        pages = int(_OWN_SIZE.read_text(encoding="ascii").split()[0])
        resource.setrlimit(resource.RLIMIT_AS, (pages * _PAGE + more, resource.getrlimit(resource.RLIMIT_AS)[1]))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
