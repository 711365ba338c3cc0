"""One thread of linear algebra a process: sums taken in another order would differ in the last digit."""

from __future__ import annotations

import os
from typing import Final

__all__ = ["one_thread_of_algebra"]

_NAMES: Final = (
    "OMP_NUM_THREADS",
    "OPENBLAS_NUM_THREADS",
    "MKL_NUM_THREADS",
    "BLIS_NUM_THREADS",
    "VECLIB_MAXIMUM_THREADS",
)


def one_thread_of_algebra() -> None:
    """Ask for one thread, unless the user's environment asks for another number.

    Called before numpy is imported, which reads these once: so one process and several, a machine of two cores and one
    of sixteen, add up in the same order. The matrices here are too small to gain from threads.
    """
    for name in _NAMES:
        os.environ.setdefault(name, "1")
