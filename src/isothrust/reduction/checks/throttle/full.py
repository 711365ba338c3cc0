"""A schedule that ends below full throttle: its peaks are not those of full throttle."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.reduction.evidence import Evidence

__all__ = ["check_full"]

_FULL: Final = 0.985
"""Command from which throttle is as good as full [1]: a fast ramp in a slow log misses the last per cent."""
_POWERS: Final[tuple[float, float]] = (1.2, 2.2)
"""Powers of the command with which peak thrust goes near full throttle [1]."""


def check_full(evidence: Evidence) -> list[Finding]:
    """Return a note where a ramp or holds never came to full throttle."""
    throttle = evidence.prepared.loads.channels.get("throttle")
    if throttle is None or throttle.values.size == 0 or evidence.job.run.kind not in {"ramp", "holds"}:
        return []
    top = float(np.max(throttle.values))
    if top >= _FULL or top <= 0.0:
        return []
    least, most = (100.0 * (1.0 - top**power) for power in _POWERS)
    return [
        Finding(
            code="throttle-not-full",
            severity="note",
            message=f"the command never passes {100.0 * top:.1f} %",
            channel="throttle",
            effect=f"peak thrust, power and current are not those of full throttle: thrust is about {least:.0f} to "
            f"{most:.0f} % below it; nothing else moves",
            done="nothing",
        )
    ]
