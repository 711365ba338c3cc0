"""Processes for many runs: started only once there is enough to do."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from typing import Any, ParamSpec, TypeVar

from isothrust.cli.threads import one_thread_of_algebra

__all__ = ["PatientExecutor", "executor_for"]

FIRST_HERE = 3
"""Jobs done in this process before others are started: a process costs about as much as these."""

P = ParamSpec("P")
T = TypeVar("T")


class PatientExecutor(Executor):
    """Does the first jobs in this process as they are handed in, and the rest on spawned processes.

    Spawned, because a forked process hangs once the table library's threads have run in its parent.
    """

    def __init__(self, workers: int) -> None:
        self._workers = workers
        self._seen = 0
        self._pool: ProcessPoolExecutor | None = None

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """Do a job, now or on a process."""
        self._seen += 1
        if self._seen <= FIRST_HERE:
            return _done(fn, *args, **kwargs)
        if self._pool is None:
            context = multiprocessing.get_context("spawn")
            self._pool = ProcessPoolExecutor(self._workers, mp_context=context, initializer=_one_core_each)
        return self._pool.submit(fn, *args, **kwargs)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:  # noqa: FBT001, FBT002 -- inherited
        """Stop the processes, if there are any."""
        if self._pool is not None:
            self._pool.shutdown(wait, cancel_futures=cancel_futures)


def _done(fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
    future: Future[T] = Future()
    try:
        future.set_result(fn(*args, **kwargs))
    except Exception as error:  # noqa: BLE001 -- it belongs to the future, as on a process
        future.set_exception(error)
    return future


def _one_core_each() -> None:
    """Keep every process to one core: they share them already."""
    one_thread_of_algebra()
    os.environ.setdefault("POLARS_MAX_THREADS", "1")


@contextmanager
def executor_for(jobs: int | None) -> Iterator[Executor | None]:
    """Yield an executor for this many processes (None: one a core); nothing for one, which needs none."""
    workers = jobs if jobs is not None else _cores()
    if workers <= 1:
        yield None
        return
    with PatientExecutor(workers) as executor:
        yield executor


def _cores() -> int:
    affinity: Any = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity is not None else os.cpu_count() or 1
