"""Naming the runs that do not count."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from isothrust.cli.screen import say, width_of_screen
from isothrust.reduction.pooling_runs import SetAside

__all__ = ["say_set_aside"]


def say_set_aside(runs: Sequence[SetAside]) -> None:
    """Tell on standard error which runs were set aside, and why."""
    if not runs:
        return
    say("\nset aside:")
    for one in runs:
        text = f"  {one.campaign}/{one.run} ({one.design}): {one.reason}"
        say(textwrap.fill(text, width_of_screen(), subsequent_indent="    ", break_on_hyphens=False))
