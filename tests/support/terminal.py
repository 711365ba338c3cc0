"""Commands run in a terminal of their own, and what that terminal was sent."""

from __future__ import annotations

import json
import os
import pty
import select
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

__all__ = ["each_in_a_terminal", "each_through_pipes", "in_a_terminal"]

_PROGRAM = "from isothrust.cli import main; main()"
_END = "\x1e"
"""What stands behind all that one command sends."""
_EACH = f"""
import json, sys
from isothrust.cli import main

for words in json.loads(sys.argv[1]):
    try:
        main(words)
    except SystemExit:
        pass
    for stream in (sys.stdout, sys.stderr):
        stream.write({_END!r})
        stream.flush()
"""
"""Commands one after another, each as if it were alone: what starts only once is Python."""


def _environment(settings: Mapping[str, str]) -> dict[str, str]:
    free = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "TERM", "COLUMNS"}}
    return {**free, "TERM": "xterm", "COLUMNS": "100", "OPENBLAS_NUM_THREADS": "1", **settings}


def in_a_terminal(*words: str | Path, **settings: str) -> str:
    """Return all that the command sends to its terminal, by standard output and standard error alike."""
    return _sent([sys.executable, "-c", _PROGRAM, *map(str, words)], settings)


def each_in_a_terminal(commands: Sequence[Sequence[str | Path]], **settings: str) -> list[str]:
    """Return what each of some commands sends to the one terminal in which they run."""
    sent = _sent(_each(commands), settings).split(2 * _END)
    assert len(sent) == len(commands) + 1, sent
    return sent[:-1]


def _each(commands: Sequence[Sequence[str | Path]]) -> list[str]:
    return [sys.executable, "-c", _EACH, json.dumps([list(map(str, words)) for words in commands])]


def _sent(command: Sequence[str], settings: Mapping[str, str]) -> str:
    ours, its = pty.openpty()
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


def each_through_pipes(commands: Sequence[Sequence[str | Path]], **settings: str) -> list[tuple[str, str]]:
    """Return what each command writes to standard output and to standard error where neither is a terminal."""
    done = subprocess.run(_each(commands), capture_output=True, env=_environment(settings), check=True)
    out, err = (stream.decode("utf-8").split(_END) for stream in (done.stdout, done.stderr))
    assert len(out) == len(err) == len(commands) + 1
    return list(zip(out[:-1], err[:-1], strict=True))
