"""Libraries of single formats, loaded when a file of that format is opened and not before.

A check of a log of text must not wait for what reads workbooks, MATLAB files or sounds: together they cost more than
reading the log. This is the one place in the readers that loads by name (docs/decisions/0008-late-readers.md).
"""

from __future__ import annotations

from importlib import import_module
from types import ModuleType
from typing import Final

__all__ = ["LATE", "late"]

LATE: Final = frozenset({"h5py", "python_calamine", "scipy.io", "soundfile"})
"""What may be loaded so."""


def late(library: str) -> ModuleType:
    """Return one of the libraries, loaded now if it was not before."""
    assert library in LATE
    return import_module(library)
