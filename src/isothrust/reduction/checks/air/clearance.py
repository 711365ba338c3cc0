"""How near the nearest wall or floor is to the disc, as the rig states it."""

from __future__ import annotations

from typing import Final

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.reduction.evidence import Evidence

__all__ = ["NEAR", "check_clearance", "clearance_in_diameters"]

NEAR: Final = 3.0
"""Diameters below which a wall is near [1]."""


def clearance_in_diameters(job: RunJob) -> float | None:
    """Return the clearance that the rig states over the propeller's diameter [1]; None where either is not known."""
    clearance, diameter = job.rig.clearance, job.design.diameter
    return None if clearance is None or diameter is None or diameter <= 0.0 else clearance / diameter


def check_clearance(evidence: Evidence) -> list[Finding]:
    """Return a note where the stated clearance is less than three diameters."""
    near, distance = clearance_in_diameters(evidence.job), evidence.job.rig.clearance
    if distance is None or near is None or near >= NEAR:
        return []
    # thrust at equal power over a plane at a height of h diameters: 1/(1 - (1/8h)^2), [Leishman2006] after the method
    # of images; a plane nearer than half a radius is beyond it
    image = (1.0 / (8.0 * max(near, 0.25))) ** 2
    return [
        Finding(
            code="clearance-low",
            severity="note",
            message=f"the nearest wall or floor is {100.0 * distance:.0f} cm from the disc, "
            f"{near:.1f} diameters: thrust is that of this stand, and the jet may come back",
            channel="thrust",
            effect=f"a wall behind raises thrust at equal power by about {100.0 * image / (1.0 - image):.1f} %; "
            "air that comes back lowers it",
            done="nothing",
        )
    ]
