"""A ring of known inertia on the hub: what it adds by the torque cell against what it has."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.quantities import parse_unit
from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence

__all__ = ["check_ring"]

_SHOWN: Final = "g cm2"
_SURE: Final = 2.6
"""Standard uncertainties by which the scale must be off to be told as wrong …"""
_MATTERS: Final = 0.01
"""… if it is by this share as well [1]."""


def check_ring(evidence: CampaignEvidence) -> list[Finding]:
    """Return, for each run with a ring, what the ring says of the torque scale.

    Steps and coasts of one rotor share the torque scale: they cannot check it. The ring's inertia is known from its
    mass and radii, so that the inertia it adds, by the cell, over its own is the scale itself.
    """
    found = []
    for run in evidence.runs:
        if run.added_inertia is None or run.inertia is None or not run.inertia.origin.startswith("own"):
            continue
        alone = [other for other in evidence.runs if _same_rotor(run, other)]
        if alone:
            found.append(_told(run, alone))
    return found


def _same_rotor(run: ReducedRun, other: ReducedRun) -> bool:
    figure = next((one for one in other.figures if one.measurand == "rotor-inertia"), None)
    same = (run.design, run.sample) == (other.design, other.sample)
    return same and other.added_inertia is None and figure is not None and figure.value is not None


def _told(run: ReducedRun, alone: list[ReducedRun]) -> Finding:
    assert run.inertia is not None
    assert run.added_inertia is not None
    known = [other.inertia for other in alone if other.inertia is not None]
    weights = np.array([1.0 / one.uncertainty**2 for one in known])
    bare = float(np.average([one.value for one in known], weights=weights))
    u_bare = float(1.0 / np.sqrt(weights.sum()))
    added = run.inertia.value - bare
    ratio = added / run.added_inertia
    u = float(np.hypot(run.inertia.uncertainty, u_bare)) / run.added_inertia
    unit = parse_unit(_SHOWN).factor
    off = abs(ratio - 1.0) > max(_SURE * u, _MATTERS)
    names = ", ".join(other.run for other in alone[:3]) + (f" and {len(alone) - 3} more" if len(alone) > 3 else "")
    message = (
        f"the ring of {run.added_inertia / unit:.4g} {_SHOWN} adds {added / unit:.4g} {_SHOWN} by the torque cell "
        f"(against {names}): torque reads {100.0 * ratio:.1f} % of what it is, u = {100.0 * u:.1f} %"
    )
    return Finding(
        code="torque-scale-off" if off else "torque-scale-checked",
        severity="warning" if off else "note",
        message=message,
        run=run.run,
        channel="torque",
        effect="torque, shaft power and efficiency of the whole campaign are off as much" if off else "none",
        done="nothing",
    )
