"""What is costly to make and only read is made once for all processes of one test session."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

PATIENCE = 180.0
"""Seconds to wait for another process that makes it."""


def made_once(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], None]) -> Path:
    """Return a folder that `make` has filled, in this process or another of the same session."""
    base = factory.getbasetemp()
    # A worker's own folder lies in that of the session, which alone is common to all.
    common = base.parent if base.name.startswith("popen-") else base
    folder, done, broken = common / name, common / f"{name}.done", common / f"{name}.broken"
    try:
        folder.mkdir()
    except FileExistsError:
        return _waited(folder, done, broken)
    try:
        make(folder)
    except BaseException:
        broken.touch()
        raise
    done.touch()
    return folder


def _waited(folder: Path, done: Path, broken: Path) -> Path:
    end = time.monotonic() + PATIENCE
    while not done.exists():
        assert not broken.exists(), f"the process that made {folder.name} failed"
        assert time.monotonic() < end, f"{folder.name} was not made within {PATIENCE:.0f} s"
        time.sleep(0.1)
    return folder
