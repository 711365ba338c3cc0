"""A load that is noisier in one run than in the campaign's others: a cable, a cell that is loose, a pick-up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence
from isothrust.reduction.checks.campaign.odd import stands_apart

__all__ = ["check_noise"]

_FEWEST = 6
_TIMES = 2.0
"""Noise that is not at least so many times the usual is left to the uncertainty, which counts it anyhow."""
_LEAST_SCATTER = 0.1
"""Of the logarithm of noise from run to run, at least [1]."""
_LONGER = 3.0
"""Multiple of the usual memory from which on residuals are no noise but a misfit."""
_OWN = 2
"""Other runs of the design that tell its own noise: blades that flutter are no fault of the bench."""


class _Noise(NamedTuple):
    """Noise of one load in one run."""

    run: ReducedRun
    value: float
    """At rest in the load's unit; under power in proportion to the usual load."""
    memory: float = 1.0
    """Samples per independent one [1]."""


def check_noise(evidence: CampaignEvidence) -> list[Finding]:
    """Return a finding for each load of each run that is far noisier than its own baseline."""
    out: list[Finding] = []
    for channel in ("thrust", "torque"):
        at_rest = [noise for run in evidence.runs if (noise := _at_rest(run, channel)) is not None]
        found = _found(channel, "with the motor off", at_rest)
        told = {finding.run for finding in found}
        for kind in dict.fromkeys(run.kind for run in evidence.runs):
            powered = [n for run in evidence.runs if run.kind == kind and (n := _powered(run, channel)) is not None]
            found += [f for f in _found(channel, "under power", powered) if f.run not in told]
        out += found
    return out


def _at_rest(run: ReducedRun, channel: str) -> _Noise | None:
    zero = run.zeros.get(channel)
    there = zero is not None and zero.before_window is not None and zero.scatter > 0.0
    return _Noise(run, zero.scatter) if zero is not None and there else None


def _powered(run: ReducedRun, channel: str) -> _Noise | None:
    """Return the scatter about the curve, in proportion to what the load comes to at the top of the run."""
    curve = run.curves.get("thrust" if channel == "thrust" else "torque")
    if curve is None or run.abscissa != "speed" or curve.residual_sd <= 0.0:
        return None
    if channel == "torque" and run.inertia_wanted:
        return None  # what accelerates the rotor is still inside
    top = float(np.median(curve.coefficients)) * curve.high**2
    return _Noise(run, curve.residual_sd / top, curve.correlation) if top > 0.0 else None


def _found(channel: str, when: str, noises: Sequence[_Noise]) -> list[Finding]:
    logarithms = np.log([noise.value for noise in noises])
    apart = stands_apart(logarithms, fewest=_FEWEST, least_scatter=_LEAST_SCATTER)
    out: list[Finding] = []
    for k in np.flatnonzero(apart > 1.0).tolist():
        times = float(np.exp(logarithms[k] - np.mean(np.delete(logarithms, k))))
        if times > _TIMES and (when != "under power" or _beyond_own_design(noises, k)):
            out.append(_finding(channel, when, noises[k].run.run, times))
    return out


def _beyond_own_design(noises: Sequence[_Noise], k: int) -> bool:
    """Whether it is noise at all, not a curve that the readings do not follow, and more than its design has."""
    if noises[k].memory > _LONGER * float(np.median([noise.memory for noise in noises])):
        return False
    own = [n.value for j, n in enumerate(noises) if j != k and n.run.design == noises[k].run.design]
    return len(own) >= _OWN and noises[k].value > _TIMES * max(own)


def _finding(channel: str, when: str, run: str, times: float) -> Finding:
    return Finding(
        code="noise-above-baseline",
        severity="warning",
        message=f"{channel} is {times:.1f} times as noisy {when} as in the campaign's other runs",
        run=run,
        channel=channel,
        effect=f"what noise leaves of the run's uncertainty grows {times:.1f} times and is in its budget; what causes "
        "it may shift the reading as well",
    )
