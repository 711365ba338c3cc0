"""One `reduce` at a time in a book: a lock that the system takes back when its holder ends, however it ends."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from isothrust.book.store import DERIVED

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

__all__ = ["book_locked"]

_LOCK_FILE = ".lock"
_PAUSE = 0.2  # s


@contextmanager
def book_locked(root: str | Path, tell_waiting: Callable[[], None]) -> Iterator[None]:
    """Hold the book's lock; where another process holds it, call `tell_waiting` once and wait."""
    folder = Path(root) / DERIVED
    folder.mkdir(parents=True, exist_ok=True)
    descriptor = os.open(folder / _LOCK_FILE, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        told = False
        while not _take(descriptor):
            if not told:
                tell_waiting()
                told = True
            time.sleep(_PAUSE)
        yield
    finally:
        os.close(descriptor)


def _take(descriptor: int) -> bool:
    try:
        if sys.platform == "win32":
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
