"""Books with a report beside them, and what a report's page holds."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from support.commands import run_process
from support.made_once import made_once

SAID = "said.txt"


def demo_with_report(factory: pytest.TempPathFactory) -> Path:
    """Return the demonstration book, reduced, with its report: made once, and not to be changed."""

    def make(folder: Path) -> None:
        # The demonstration has one run that fails on purpose.
        done = run_process("demo", "demo", folder=folder, status=1)
        (folder / SAID).write_text(done.stderr + done.stdout, encoding="utf-8")

    return made_once(factory, "demo-with-report", make) / "demo"


def demo_said(demo: Path) -> str:
    """Return what `isothrust demo demo` printed while it made this book."""
    return (demo.parent / SAID).read_text(encoding="utf-8")


def page_data(report: Path, element: str = "data") -> Any:
    """Return the data that a report's page holds, read from the file as text."""
    text = report.read_text(encoding="utf-8")
    (found,) = re.findall(rf'<script type="application/json" id="{element}">(.*?)</script>', text, re.DOTALL)
    return json.loads(found)
