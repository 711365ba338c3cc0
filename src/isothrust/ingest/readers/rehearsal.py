"""A file is first read in a process of its own where the library that reads it may crash, hang or fill the memory.

A damaged MATLAB or HDF5 file can do that to the foreign code that reads it, and would take all other runs along. What
ends well there is read once more here; what does not is refused in words (docs/decisions/0009-rehearsal.md).
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from pathlib import Path
from typing import Final

from isothrust.errors import LogError, Where
from isothrust.ingest.readers.contract import Specimen

__all__ = ["MEMORY_FACTOR", "MEMORY_FREE", "REFUSED", "rehearse"]

MEMORY_FACTOR: Final = 8
"""Memory that a reading may take, in sizes of the file: twice for a column that is converted, and room."""
MEMORY_FREE: Final = 1 << 27
"""Memory that is always allowed [bytes]."""
REFUSED: Final = 3
"""Exit status of a reading that ended in an error in words."""
_PATIENCE: Final = 20.0
"""Time that a reading may take [s], and so much more for each:"""
_SLOWEST: Final = 2e6
"""Slowest reading [bytes/s]."""


def rehearse(specimen: Specimen, reader: str) -> None:
    """Read all of a file in another process; raise LogError as that one did, or `damaged-file` where it did not end.

    `reader` is one of those that `rehearsed` lists.
    """
    words = [sys.executable, "-m", "isothrust.ingest.readers.rehearsed", reader, specimen.path, str(specimen.size)]
    words += [] if specimen.data is None else ["-"]
    limit = _PATIENCE + specimen.size / _SLOWEST
    environment = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "POLARS_MAX_THREADS": "1"}
    try:
        done = subprocess.run(
            words, input=specimen.data or b"", capture_output=True, timeout=limit, env=environment, check=False
        )
    except subprocess.TimeoutExpired:
        raise _damaged(specimen, f"reading it did not end within {limit:.0f} s") from None
    if done.returncode == REFUSED:
        error = pickle.loads(done.stdout)
        assert isinstance(error, LogError)
        raise error
    if done.returncode != 0:
        last = done.stderr.decode("utf-8", "replace").strip().rpartition("\n")[2]
        why = "it needs far more memory than a file of its size" if "MemoryError" in last else "the reading broke down"
        raise _damaged(specimen, why)


def _damaged(specimen: Specimen, why: str) -> LogError:
    return LogError(
        f"{Path(specimen.path).name} cannot be read: {why}",
        code="damaged-file",
        where=Where(specimen.path),
        expected="a whole file, as the program that made it wrote it",
        fix="copy the file again from where it was recorded, or write it anew as CSV",
    )
