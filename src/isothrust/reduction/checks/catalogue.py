"""The checks that look at a whole run once it is reduced, in the order in which their findings are told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from isothrust.records.finding import Finding
from isothrust.reduction.evidence import Evidence

__all__ = ["RUN_CHECKS", "examine"]

RunCheck = Callable[[Evidence], list[Finding]]

RUN_CHECKS: Final[tuple[RunCheck, ...]] = ()
"""One function a file; each is independent of the others."""


def examine(evidence: Evidence) -> list[Finding]:
    """Return what all the checks of a run find."""
    return [finding for check in RUN_CHECKS for finding in check(evidence)]
