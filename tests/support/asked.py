"""Asking the command line within a test: what it prints, whatever the screen."""

from __future__ import annotations

import contextlib
import io
import os
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

import pytest

from isothrust.cli import main

Ask = Callable[..., str]
"""Words of a command, with `columns` and `status` where they are not the usual ones -> what is printed."""


def told(book: Path, *words: str, columns: int = 100, status: int = 0) -> str:
    """What the command line prints for some words; where it refuses them, what it says instead."""
    out, err = io.StringIO(), io.StringIO()
    with (
        patch.dict(os.environ, {"COLUMNS": str(columns)}),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        pytest.raises(SystemExit) as left,
    ):
        main([*words, "--book", str(book)])
    assert left.value.code == status, err.getvalue()
    return err.getvalue() if status == 2 else out.getvalue()
