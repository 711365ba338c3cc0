"""A command run in a terminal of its own, and what that terminal was sent."""

from __future__ import annotations

import os
import pty
import select
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

__all__ = ["in_a_terminal", "through_pipes"]

_PROGRAM = "from isothrust.cli import main; main()"


def _environment(settings: Mapping[str, str]) -> dict[str, str]:
    free = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "TERM", "COLUMNS"}}
    return {**free, "TERM": "xterm", "COLUMNS": "100", "OPENBLAS_NUM_THREADS": "1", **settings}


def in_a_terminal(*words: str | Path, **settings: str) -> str:
    """Return all that the command sends to its terminal, by standard output and standard error alike."""
    ours, its = pty.openpty()
    command = [sys.executable, "-c", _PROGRAM, *map(str, words)]
    with subprocess.Popen(command, stdin=its, stdout=its, stderr=its, env=_environment(settings)) as process:
        os.close(its)
        sent = b""
        while True:
            ready, _, _ = select.select([ours], [], [], 60.0)
            assert ready, "the command sends nothing and does not end"
            try:
                part = os.read(ours, 65536)
            except OSError:  # Linux: how a terminal ends whose other side was closed
                break
            if not part:
                break
            sent += part
        process.wait()
    os.close(ours)
    return sent.decode("utf-8", errors="replace")


def through_pipes(*words: str | Path, **settings: str) -> tuple[str, str]:
    """Return what the command writes to standard output and to standard error where neither is a terminal."""
    command = [sys.executable, "-c", _PROGRAM, *map(str, words)]
    done = subprocess.run(command, capture_output=True, env=_environment(settings), check=False)
    return done.stdout.decode("utf-8"), done.stderr.decode("utf-8")
