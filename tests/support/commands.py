"""Commands as a tester types them: the whole command line, in this process or in one of its own."""

from __future__ import annotations

import contextlib
import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any
from unittest.mock import patch

from isothrust.cli import main

Done = subprocess.CompletedProcess[str]
PROGRAM = "from isothrust.cli import main; main()"


def run_command(*words: str, folder: Path, status: int = 0, columns: int = 100) -> Done:
    """Run isothrust in a folder; any other exit status than expected fails with what was printed.

    Within this process, which has imported everything already; where a start of its own is what matters, see
    `run_process`.
    """
    out, err = io.StringIO(), io.StringIO()
    left: int | str | None = None
    with (
        contextlib.chdir(folder),
        patch.dict(os.environ, _environment(columns)),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        try:
            main(list(words))
        except SystemExit as ended:
            left = ended.code
    assert isinstance(left, int), "the command line ends with an exit status"
    return _held(subprocess.CompletedProcess(words, left, out.getvalue(), err.getvalue()), status)


def run_process(*words: str, folder: Path, status: int = 0, columns: int = 100) -> Done:
    """Do the same as `run_command`, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, *words],
        cwd=folder,
        env={**os.environ, **_environment(columns)},
        capture_output=True,
        text=True,
        check=False,
    )
    return _held(done, status)


def json_of(*words: str, folder: Path) -> list[dict[str, Any]]:
    """Return what a command prints with --json."""
    return json.loads(run_command(*words, "--json", folder=folder).stdout)


def _environment(columns: int) -> dict[str, str]:
    return {"COLUMNS": str(columns), "NO_COLOR": "1"}


def _held(done: Done, status: int) -> Done:
    words = " ".join(done.args[3:] if done.args[0] == sys.executable else done.args)
    assert done.returncode == status, f"isothrust {words}: {done.returncode}\n{done.stdout}\n{done.stderr}"
    return done
