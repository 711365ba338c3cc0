"""Commands as a tester types them, run in a process of their own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

PROGRAM = "from isothrust.cli import main; main()"


def run_command(*words: str, folder: Path, status: int = 0, columns: int = 100) -> subprocess.CompletedProcess[str]:
    """Run isothrust in a folder; any other exit status than expected fails with what was printed."""
    environment = {**os.environ, "COLUMNS": str(columns), "NO_COLOR": "1"}
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, *words],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == status, f"isothrust {' '.join(words)}: {done.returncode}\n{done.stdout}\n{done.stderr}"
    return done


def json_of(*words: str, folder: Path) -> list[dict[str, Any]]:
    """Return what a command prints with --json."""
    return json.loads(run_command(*words, "--json", folder=folder).stdout)
