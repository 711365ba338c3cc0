"""Runs a workflow in a process of its own that kills itself: after its k-th rename, or at a moment from outside."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

_PROGRAM = """
import os, signal, sys
work, book, kill_at, *rest = sys.argv[1:]
if work == "add":
    from isothrust.workflows.add import add_folder
else:
    from isothrust.workflows.moved import moves_told, store_and_compare
    from isothrust.workflows.reduce import reduce_book
    from support.fake_reduction import fake_worker, real_worker

renames = 0
replace = os.replace

def counting_replace(*places, **options):
    global renames
    replace(*places, **options)
    renames += 1
    if renames == int(kill_at):
        os.kill(os.getpid(), signal.SIGKILL)

os.replace = counting_replace
print("ready", flush=True)
if work == "add":
    add_folder(book, rest[0], "spring", "loft")
else:
    outcome = reduce_book(book, worker=real_worker if work == "reduce" else fake_worker)
    if work == "reduce-and-tell":
        print(*(move.kind for move in store_and_compare(outcome).moves), sep=",", file=sys.stderr)
        moves_told(outcome.book)
print(renames, flush=True)
"""


def run_killed(
    work: str, book: Path, *rest: str, after_rename: int = 0, after_seconds: float | None = None
) -> int | None:
    """Run a work on a book; return its count of renames, None if it was killed.

    Works: `reduce` (in earnest), `reduce-words` (the fake reduction), `reduce-and-tell` (the same, and what moved) and
    `add`.

    The seconds count from the moment at which everything is imported.
    """
    tests = Path(__file__).resolve().parents[1]
    process = subprocess.Popen(
        [sys.executable, "-c", _PROGRAM, work, str(book), str(after_rename), *rest],
        stdout=subprocess.PIPE,
        text=True,
        env=dict(os.environ, PYTHONPATH=os.pathsep.join([str(tests), *filter(None, [os.environ.get("PYTHONPATH")])])),
    )
    assert process.stdout is not None
    with process, process.stdout as output:
        assert output.readline() == "ready\n"
        if after_seconds is not None:
            time.sleep(after_seconds)
            process.send_signal(signal.SIGKILL)
        last = output.readline()
        process.wait()
    if process.returncode == -signal.SIGKILL:
        return None
    assert process.returncode == 0
    return int(last)
