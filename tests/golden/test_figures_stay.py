"""A stored figure must not move without a new method version.

The numbers here are the program's own: they say nothing of truth, only that figures published with one method version
stay.
To store new ones: raise METHOD_VERSION, then `PYTHONPATH=tests python -m support.golden`.
"""

from __future__ import annotations

import json

import pytest

from isothrust.reduction.method import METHOD_VERSION
from support.golden import FOLDER, figures_now


def test_no_stored_figure_moves_without_a_new_method_version() -> None:
    stored = json.loads((FOLDER / "figures.json").read_text(encoding="utf-8"))
    assert stored["method-version"] == METHOD_VERSION, "store the figures of the new method version"
    assert figures_now() == pytest.approx(stored, rel=1e-7), "raise METHOD_VERSION: a stored figure has moved"
