"""A pool of two fresh processes for studies; spawn, because fork hangs once polars has been used."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import TypeVar

__all__ = ["spread_over_workers"]

T = TypeVar("T")
R = TypeVar("R")


def spread_over_workers(function: Callable[[T], R], items: Iterable[T]) -> Iterator[R]:
    """Yield function(item) for each item, in order; each worker keeps to one thread of linear algebra."""
    before = os.environ.get("OPENBLAS_NUM_THREADS")
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    try:
        with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
            yield from pool.map(function, items)
    finally:
        if before is None:
            del os.environ["OPENBLAS_NUM_THREADS"]
        else:
            os.environ["OPENBLAS_NUM_THREADS"] = before
